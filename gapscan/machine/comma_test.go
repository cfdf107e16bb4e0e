package machine

import (
	"errors"
	"testing"
)

func TestDecimalComma(t *testing.T) {
	for src, want := range map[string]string{
		"[tested]\nside_mm = 0,25":                          "shed.toml:2: tested.side_mm = 0,25: write 0.25 with a point",
		"name = \"shed\"\n[tested]\r\nside_mm =0,3 # x\r\n": "shed.toml:3: tested.side_mm = 0,3: write 0.3 with a point",
		"tested.roof_mm = 0,4":                              "shed.toml:1: tested.roof_mm = 0,4: write 0.4 with a point",
		"trim_mm = -0,1\n[tested]\nside_mm = 0,25":          "shed.toml:1: trim_mm = -0,1: write -0.1 with a point",
		"tested = {bridge_mm = 30}\nnozzle_mm = 0,4":        "shed.toml:2: nozzle_mm = 0,4: write 0.4 with a point",
		"[[trial]]\ngap_mm = 0,25":                          "shed.toml:2: trial.gap_mm = 0,25: write 0.25 with a point",
	} {
		_, err := Parse("shed.toml", []byte(src))
		if err == nil || err.Error() != want {
			t.Errorf("%q:\n got %v\nwant %s", src, err, want)
		}
	}
	// A comma elsewhere is another fault.
	for _, src := range []string{"[tested]\nside_mm = 0.2,5", "side_mm = a,b", "name = \"0,25", "[a,b]"} {
		_, err := Parse("shed.toml", []byte(src))
		var fe *FileError
		if !errors.As(err, &fe) || fe.Key != "" {
			t.Errorf("%q: got %v", src, err)
		}
	}
}

// What says where a key belongs offers no other key beside it.
func TestBelongsOffersNoOther(t *testing.T) {
	for _, src := range []string{"side_mm = 0.3", "[tested]\nline_mm = 0.4"} {
		_, err := Parse("shed.toml", []byte(src))
		var fe *FileError
		if !errors.As(err, &fe) || fe.Known != nil {
			t.Errorf("%q: got %#v", src, err)
		}
	}
}
