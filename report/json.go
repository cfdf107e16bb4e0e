package report

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math"
	"reflect"
	"strings"

	"playgauge/gapscan"
)

// NotFiniteError says that a number of the result is NaN or infinite, which
// no report can show.
type NotFiniteError struct {
	Field string // the path of JSON names, like layers[2].margin
	Value float64
}

func (e *NotFiniteError) Error() string {
	return fmt.Sprintf("%s is %g, not a number to report", e.Field, e.Value)
}

// JSON writes r as one object on one line, so that several calls make NDJSON.
// Unknown is null. An empty list is [], also where r holds a nil slice. A
// number that is NaN or infinite is a *NotFiniteError; nothing is written
// then.
func JSON(w io.Writer, r *gapscan.Result) error {
	var line bytes.Buffer
	enc := json.NewEncoder(&line)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(withLists(r)); err != nil {
		var unsupported *json.UnsupportedValueError
		if errors.As(err, &unsupported) {
			if bad := notFinite(reflect.ValueOf(r), ""); bad != nil {
				return bad
			}
		}
		return err
	}
	_, err := w.Write(line.Bytes())
	return err
}

// withLists is r with empty lists for nil ones. r itself is left alone.
func withLists(r *gapscan.Result) *gapscan.Result {
	c := *r
	c.Mesh.Warnings = list(c.Mesh.Warnings)
	c.Machine.Defaults = list(c.Machine.Defaults)
	c.Machine.From = list(c.Machine.From)
	c.PFreeLacks = list(c.PFreeLacks)
	c.Parts = list(c.Parts)
	c.Joined = list(c.Joined)
	c.Joints = list(c.Joints)
	c.Overhangs = list(c.Overhangs)
	c.Slots = list(c.Slots)
	c.Cautions = list(c.Cautions)
	c.Layers = append([]gapscan.Layer{}, c.Layers...)
	for i := range c.Layers {
		c.Layers[i].Parts = list(c.Layers[i].Parts)
	}
	return &c
}

func list[T any](s []T) []T {
	if s == nil {
		return []T{}
	}
	return s
}

// notFinite finds the first number below v that is NaN or infinite.
func notFinite(v reflect.Value, path string) *NotFiniteError {
	switch v.Kind() {
	case reflect.Float64:
		if x := v.Float(); math.IsNaN(x) || math.IsInf(x, 0) {
			return &NotFiniteError{Field: path, Value: x}
		}
	case reflect.Pointer:
		if !v.IsNil() {
			return notFinite(v.Elem(), path)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			if bad := notFinite(v.Index(i), fmt.Sprintf("%s[%d]", path, i)); bad != nil {
				return bad
			}
		}
	case reflect.Struct:
		for i := range v.NumField() {
			name, _, _ := strings.Cut(v.Type().Field(i).Tag.Get("json"), ",")
			if path != "" {
				name = path + "." + name
			}
			if bad := notFinite(v.Field(i), name); bad != nil {
				return bad
			}
		}
	}
	return nil
}
