package main

import (
	"encoding/json"
	"io"

	"playgauge/gapscan"
)

// failedModel is the line --json prints for a model that could not be
// judged. It has an error, which the line of a judged model never has.
type failedModel struct {
	Schema string `json:"schema"`
	Model  struct {
		File string `json:"file"`
	} `json:"model"`
	Error string `json:"error"`
}

// writeFailed writes one line of JSON about a model that failed.
func writeFailed(w io.Writer, name, why string) error {
	line := failedModel{Schema: gapscan.Schema, Error: why}
	line.Model.File = name
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false) // as in the lines of judged models
	return enc.Encode(line)
}
