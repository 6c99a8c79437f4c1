package intake

import (
	"fmt"
	"strings"
	"testing"
)

// TestReadStarting: a list of what was fitted where is read by the names that crews give columns and by how they part
// thousands; one number alone shows no habit and stays as it is written. From memory, common practice, no source.
func TestReadStarting(t *testing.T) {
	for _, c := range []struct {
		name, text, want, read, err string
	}{
		{name: "as a book names them", text: "engine,cylinder,holder,counter,left\nME1,1,H-1,1000 h,320 bar\n,,H-2,,320 bar\n",
			want: "2 counter=1000 h cylinder=1 engine=ME1 holder=H-1 left=320 bar; 3 holder=H-2 left=320 bar"},
		{name: "points part thousands", text: "Motor;Cil;Portatobera;Contador\nME1;1;P-1;18.340 h\nME1;2;P-2;18.340 h\n",
			want: "2 counter=18340 h cylinder=1 engine=ME1 holder=P-1; 3 counter=18340 h cylinder=2 engine=ME1 holder=P-2",
			read: `column "Motor" is engine|column "Cil" is cylinder|column "Portatobera" is holder|column "Contador" is counter|"18.340 h" is 18340 h`},
		{name: "commas part thousands", text: "engine;holder;counter\nME1;P-1;18,340\nME1;P-2;9,210\n",
			want: "2 counter=18340 h engine=ME1 holder=P-1; 3 counter=9210 h engine=ME1 holder=P-2",
			read: `"18,340" is 18340 h|"9,210" is 9210 h`},
		{name: "one alone", text: "engine;holder;counter\nME1;P-1;18.340 h\n", want: "2 counter=18.340 h engine=ME1 holder=P-1"},
		{name: "both signs", text: "engine;holder;since\nME1;P-1;18.340 h\nME1;P-2;18,340 h\n",
			want: "2 engine=ME1 holder=P-1 since=18.340 h; 3 engine=ME1 holder=P-2 since=18,340 h"},
		{name: "a unit in the heading, and none", text: "holder;left (kgf/cm2)\nP-1;326,3\n", want: "2 holder=P-1 left=326.3 kgf/cm2",
			read: `column "left (kgf/cm2)" is left`},
		{name: "no unit", text: "holder;left\nP-1;326,3\n", want: "2 holder=P-1 left=326,3"},
		{name: "what is no part of it is kept", text: "holder;Fecha;remark\nP-1;12.03.2019;gotea\n",
			want: "2 holder=P-1 remark=gotea; Fecha: 12.03.2019", read: `column "Fecha" goes into the remark`},
		{name: "a book's own name is surer", text: "Horas;holder;since\n5 h;P-1;7 h\n", want: "2 holder=P-1 remark=Horas: 5 h since=7 h",
			read: `column "Horas" goes into the remark`},
		{name: "two alike", text: "Portatobera;Inyector\nP-1;P-2\n", err: `columns "Portatobera" and "Inyector" may both be holder`},
		{name: "no holder", text: "engine;cylinder\nME1;1\n", err: "no column names the holder"},
		{name: "no heading", text: "1;2\n3;4\n", err: "no line names columns"},
	} {
		t.Run(c.name, func(t *testing.T) {
			list, err := ReadStarting([]byte(c.text))
			if c.err != "" {
				if err == nil || !strings.Contains(err.Error(), c.err) {
					t.Fatalf("error %v\nwant %s", err, c.err)
				}
				return
			}
			var lines []string
			for _, l := range list.Lines {
				for id, text := range l.Of {
					if text == "" {
						delete(l.Of, id)
					}
				}
				lines = append(lines, fmt.Sprint(l.Number, " ", strings.TrimSuffix(strings.TrimPrefix(strings.ReplaceAll(fmt.Sprint(l.Of), ":", "="), "map["), "]")))
			}
			if got := strings.ReplaceAll(strings.Join(lines, "; "), "Fecha=", "Fecha:"); strings.ReplaceAll(got, "Horas=", "Horas:") != c.want || err != nil {
				t.Errorf("read %s, %v\nwant %s", got, err, c.want)
			}
			if got := strings.Join(list.Read, "|"); got != c.read {
				t.Errorf("said %s\nwant %s", got, c.read)
			}
		})
	}
}
