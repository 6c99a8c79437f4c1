package judging

import (
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// An oil that no bench has refers no time to another temperature. Test oils: ISO 4113, 2.45 to 2.75 mm²/s at 40 °C.
func TestBenchOilPossible(t *testing.T) {
	for _, c := range []struct {
		oil string
		ok  bool
	}{
		{"{viscosity_40: 2.6 mm²/s, viscosity_100: 1.20 mm²/s, density_15: 825 kg/m³}", true},
		{"{viscosity_40: 26 mm²/s, viscosity_100: 1.20 mm²/s, density_15: 825 kg/m³}", false},
		{"{viscosity_40: 2.6 mm²/s, viscosity_100: 1.20 mm²/s, density_15: 82 kg/m³}", false},
		{"{viscosity_40: 2.6 mm²/s, viscosity_100: 1.20 mm²/s}", false},
	} {
		b, err := logbook.Read(fstest.MapFS{"book.md": {Data: []byte("---\nvessel: V\n---\n")}, "instruments/b-1.md": {
			Data: []byte("---\nid: B-1\nkind: test bench\noil: " + c.oil + "\n---\n")}})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := BenchOil(b.Instruments["B-1"]); (err == nil) != c.ok {
			t.Errorf("%s: %v, want it %t", c.oil, err, c.ok)
		}
	}
}
