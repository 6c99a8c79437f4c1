package tree

import (
	"fmt"
	"strings"
	"testing"
)

// A number that a comma cuts in two is one value with its bytes, to the quick reader and to the library; two values are two.
func TestCutNumbers(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"{value: 0,72 mm, with: DG-1}", "value=0,72 mm with=DG-1"},
		{"{value: -1 200,5, b: x}", "value=-1 200,5 b=x"},
		{"{value: 1’200,5, b: x}", "value=1’200,5 b=x"},
		{"{value: 0, 72 mm}", "value=0 72 mm="},
		{"{value: x,72 mm}", "value=x 72 mm="},
		{"{value: 0,with: x}", "value=0 with=x"},
		{"{value: '0',72 mm}", "value='0' 72 mm="},
		{"{value: 0,'72'}", "value=0 72="},
		{"{value: 0,72: x}", "value=0 72=x"},
		{"{value: 0,72 mm,5, with: x}", "value=0,72 mm 5= with=x"},
		{"[31,5 MPa, 31,0 MPa]", "=31,5 MPa =31,0 MPa"},
		{"[+31,5MPa]", "=+31,5MPa"},
		{"[31, 5 MPa]", "=31 =5 MPa"},
		{"[31,30 MPa]", "=31 =30 MPa"},
		{"[31 MPa,5 MPa]", "=31 MPa =5 MPa"},
		{"['31',5 MPa]", "='31' =5 MPa"},
		{"[31,'5 MPa']", "=31 ='5 MPa'"},
		{"[31,{b: 1}]", "=31 ={b: 1}"},
		{"[1,2,3]", "=1 =2 =3"},
	} {
		for _, by := range []string{"", "y: &anchor 1\n"} { // the anchor is for the library
			src := "---\n" + by + "a: " + c.text + "\n---\n"
			o := Of([]byte(src), func(trouble Trouble) int { return trouble.Line })
			var got []string
			for _, e := range o.Root.Below[len(o.Root.Below)-1].Below {
				got = append(got, e.Key+"="+src[e.ValueAt:e.ValueEnd])
				if e.Kind == Value && e.Value != strings.Trim(src[e.ValueAt:e.ValueEnd], "'") {
					t.Errorf("%s: %q is read as %q", c.text, src[e.ValueAt:e.ValueEnd], e.Value)
				}
			}
			if all := strings.Join(got, " "); all != c.want {
				t.Errorf("%s: %s, want %s (%s)", src, all, c.want, o.Doubt)
			}
		}
	}
}

// A long row of such numbers is read in one go.
func TestManyCutNumbers(t *testing.T) {
	n := Node{Kind: List, Style: Brackets}
	const many = 1 << 16
	for i := range many {
		n.Below = append(n.Below, &Node{Value: "31", Line: 1, Column: 6*i + 1}, &Node{Value: "5 m", Line: 1, Column: 6*i + 4})
	}
	if joinNumbers(&n); len(n.Below) != many || fmt.Sprint(n.Below[many-1].Value, n.Below[many-1].Column) != fmt.Sprint("31,5 m", 6*(many-1)+1) {
		t.Errorf("%d numbers, want %d", len(n.Below), many)
	}
}
