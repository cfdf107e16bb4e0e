package report

import (
	"encoding/json"
	"io"

	"playgauge/gapscan/remedy"
)

// RemedyJSON writes r as one object on one line. Unknown is null; an empty
// list is [].
func RemedyJSON(w io.Writer, r *remedy.Result) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	return enc.Encode(r)
}
