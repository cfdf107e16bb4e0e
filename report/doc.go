// Package report turns a gapscan.Result into what people and programs read:
// one line of JSON, a summary in plain words, the heat-strip, a picture with
// one column a layer, and a page for a browser that draws every layer.
//
// It measures nothing and decides nothing. Every number and every outcome is
// the Result's; this package only chooses which of them to say first. The
// same Result gives the same bytes.
//
// Names of files and warnings come from outside. They are shown with control
// and formatting characters escaped, so that no file can steer a terminal.
package report
