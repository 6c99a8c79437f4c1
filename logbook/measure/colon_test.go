package measure

import "testing"

// Minutes and seconds bear no unit: of a time written so the colon is what is amiss, and nothing else. One that has a unit, and a number
// without one, are told as before. Outside source: none.
func TestColonIsOneSlip(t *testing.T) {
	for text, want := range map[string][]string{
		"0:13": {SlipColon}, "3:20 s": {SlipColon}, "13": {SlipUnitMissing},
	} {
		q, slips := Parse(text, Time)
		var got []string
		for _, s := range slips {
			got = append(got, s.Name)
		}
		if q.Valid() || len(got) != len(want) || got[0] != want[0] {
			t.Errorf("Parse(%q) = %v, slips %v; want %v", text, q, got, want)
		}
	}
}
