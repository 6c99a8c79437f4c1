package checks

import (
	"fmt"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"needlebook/logbook"
)

// answerLine is a line of answers.csv to a finding.
func answerLine(f Finding, version int, day, answer, by, until string) string {
	return fmt.Sprintf("%s,%s,%s,%s,%d,%s,%s,%s\n", day, Named(f.Check).ID(), f.Subject, f.Text, version, answer, by, until)
}

const answersHead = "date,check,place,text,version,answer,by,until\n"

// onlyFinding is the finding of a check on a book.
func onlyFinding(t *testing.T, files fstest.MapFS, k *Check, trail *logbook.Trail) Finding {
	t.Helper()
	b, err := logbook.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	r := Run(b, Options{Only: []*Check{k}, Trail: trail})
	for _, f := range r.Findings {
		if f.Check == k.Name {
			return f
		}
	}
	t.Fatalf("%s says nothing", k.Name)
	return Finding{}
}

// TestAnswers tries who may answer what, and which answers do not count. Outside source: none; it is the rule of who
// answers for what, common practice.
func TestAnswers(t *testing.T) {
	const crew = "id,name,rank,from,to\nc.one,C. One,chief engineer,2020-01-01,2030-01-01\n" +
		"a.two,A. Two,second engineer,2020-01-01,2030-01-01\nb.three,B. Three,third engineer,2020-01-01,2030-01-01\n" +
		"s.four,S. Four,superintendent,2020-01-01,\n"
	for _, x := range []struct {
		name  string
		check *Check
		file  string
		line  func(f Finding) string
		held  string // empty: it is answered
	}{
		{"the second engineer in post", asFoundMissing, "none.md",
			func(f Finding) string { return answerLine(f, 1, "2020-09-01", "not known", "a.two", "") }, ""},
		{"the chief in post", asFoundMissing, "none.md",
			func(f Finding) string { return answerLine(f, 1, "2020-09-01", "not known", "c.one", "") }, ""},
		{"the third engineer", asFoundMissing, "none.md",
			func(f Finding) string { return answerLine(f, 1, "2020-09-01", "not known", "b.three", "") }, "neither second engineer nor chief"},
		{"before he was in post", asFoundMissing, "none.md",
			func(f Finding) string { return answerLine(f, 1, "2019-09-01", "not known", "a.two", "") }, "neither second engineer nor chief"},
		{"other facts", asFoundMissing, "none.md", func(f Finding) string {
			return strings.Replace(answerLine(f, 1, "2020-09-01", "not known", "a.two", ""), f.Text, "0123456789ab", 1)
		}, "the facts are others now"},
		{"an earlier version", asFoundMissing, "none.md",
			func(f Finding) string { return answerLine(f, 0, "2020-09-01", "not known", "a.two", "") }, "judged otherwise since version 1"},
		{"without a word", asFoundMissing, "none.md",
			func(f Finding) string { return answerLine(f, 1, "2020-09-01", " ", "a.two", "") }, "it says nothing"},
		{"a later line counts", asFoundMissing, "none.md", func(f Finding) string {
			return answerLine(f, 1, "2020-09-01", "not known", "b.three", "") + answerLine(f, 1, "2020-09-02", "asked: not known", "a.two", "")
		}, ""},
		{"a stop about a part in service", sealNotRenewed, "reused.md",
			func(f Finding) string { return answerLine(f, 1, "2020-09-01", "looks good", "s.four", "") }, "in service or ready"},
		{"a record that was copied, by the chief, sent ashore", recordAlike, "copied.txtar",
			func(f Finding) string { return answerLine(f, 1, "2023-09-01", "seen", "c.one", "") }, "the superintendent answers it"},
		{"a record that was copied, by the third engineer", recordAlike, "copied.txtar",
			func(f Finding) string { return answerLine(f, 1, "2023-09-01", "seen", "b.three", "") }, "the superintendent answers it"},
		{"a stop about a part in service, by the chief, sent ashore", sealNotRenewed, "reused.md",
			func(f Finding) string { return answerLine(f, 1, "2020-09-01", "may it run?", "c.one", "") }, "in service or ready"},
		{"a record that was copied, ashore", recordAlike, "copied.txtar",
			func(f Finding) string { return answerLine(f, 1, "2023-09-01", "seen", "s.four", "") }, ""},
		{"what only a deferral carries", overdue, "beyond.txtar",
			func(f Finding) string { return answerLine(f, 2, "2020-01-02", "soon", "c.one", "2030-01-01") }, "only a deferral carries it"},
		{"what grows, without an end", stockLow, "one-short.txtar",
			func(f Finding) string { return answerLine(f, 1, "2020-09-01", "ordered", "c.one", "") }, "until when"},
		{"what grows, lapsed", stockLow, "one-short.txtar",
			func(f Finding) string { return answerLine(f, 1, "2020-09-01", "ordered", "c.one", "2020-10-01") }, "it lapsed on 2020-10-01"},
		{"what grows, until a day", stockLow, "one-short.txtar",
			func(f Finding) string { return answerLine(f, 1, "2020-09-01", "ordered", "c.one", "2030-01-01") }, ""},
	} {
		t.Run(x.name, func(t *testing.T) {
			files, trail := caseFiles(t, folder(t, "testdata/base"), "testdata/"+x.check.Name+"/"+x.file)
			files["crew.csv"] = &fstest.MapFile{Data: []byte(crew)}
			before := onlyFinding(t, files, x.check, trail)
			files["answers.csv"] = &fstest.MapFile{Data: []byte(answersHead + x.line(before))}
			f := onlyFinding(t, files, x.check, trail)
			switch {
			case (f.Office != 0) != strings.HasSuffix(x.name, ", sent ashore"):
				t.Errorf("%s of %s is with the office since %s, want it so only where it is sent ashore", f.Check, f.Subject, f.Office)
			case x.held == "" && (f.State != Answered || f.Held != ""):
				t.Errorf("%s of %s is %s, held %q; want it answered", f.Check, f.Subject, f.State, f.Held)
			case x.held != "" && (f.State != Open || !strings.Contains(f.Held, x.held)):
				t.Errorf("%s of %s is %s, held %q; want it open: %s", f.Check, f.Subject, f.State, f.Held, x.held)
			}
		})
	}
}

// TestAnswerIsSigned holds an answer against the commit that brought its line. Outside source: none.
func TestAnswerIsSigned(t *testing.T) {
	base := folder(t, "testdata/base")
	files, _ := caseFiles(t, base, "testdata/as-found-missing/none.md")
	f := onlyFinding(t, files, asFoundMissing, nil)
	files["answers.csv"] = &fstest.MapFile{Data: []byte(answersHead + answerLine(f, 1, "2020-09-01", "not known", "a.two", ""))}
	for _, x := range []struct {
		commit logbook.Commit
		held   string
	}{
		{logbook.Commit{State: logbook.Signed, Person: "a.two", Roles: []string{"engineer"}}, ""},
		{logbook.Commit{State: logbook.Signed, Person: "c.one", Roles: []string{"chief"}}, "it was signed by c.one"},
		{logbook.Commit{State: logbook.Unsigned}, "its commit is unsigned"},
		{logbook.Commit{State: logbook.Signed, Person: "a.two", Pending: true}, "pending"},
	} {
		trail := &logbook.Trail{UnderGit: true, Commits: []logbook.Commit{x.commit}, Records: map[string]*logbook.RecordTrail{
			"answers.csv": {Path: "answers.csv", Versions: []logbook.Version{{Path: "answers.csv"}}}}}
		g := onlyFinding(t, files, asFoundMissing, trail)
		if (x.held == "") != (g.State == Answered) || !strings.Contains(g.Held, x.held) {
			t.Errorf("signed by %s, %s: %s, held %q; want %q", x.commit.Person, x.commit.State, g.State, g.Held, x.held)
		}
		trail.WorkTree = []logbook.WorkChange{{Path: "answers.csv", What: "changed"}}
		if g := onlyFinding(t, files, asFoundMissing, trail); g.State != Open || !strings.Contains(g.Held, "not signed yet") {
			t.Errorf("a line that is not committed: %s, held %q", g.State, g.Held)
		}
	}
}

// TestDigest asks what an answer answers to: another unit of the same value is the same fact, another value is not, and
// neither lines above nor the day of judgement matter. Source: 1 MPa is 10 bar (SI).
func TestDigest(t *testing.T) {
	dir := "overhauls/me1/c1/"
	record := func(pressure, above string) fstest.MapFS {
		files := folder(t, "testdata/base")
		files[dir+"2020-07-01-h-1.md"] = &fstest.MapFile{Data: []byte("---\n" + above + "holder: \"H-1\"\nnozzle: {found: \"N-1\", " +
			"left: \"N-1\"}\nremoved: {engine: ME1, cylinder: 1, date: 2020-07-01, counter: 2800 h, reason: planned}\n" +
			"as_found:\n  date: 2020-07-01\n  gauge: PG-1\n  opening_pressure: " + pressure + "\n---\n")}
		return files
	}
	text := func(pressure, above string) string {
		return onlyFinding(t, record(pressure, above), openingLost, nil).Text
	}
	is := text("[200 bar, 201 bar, 201 bar]", "")
	if len(is) != 12 {
		t.Errorf("the digest is %q, want 12 hexadecimal digits", is)
	}
	if got := text("[20.0 MPa, 20.1 MPa, 20.1 MPa]", ""); got != is {
		t.Error("the same pressure in another unit is another fact")
	}
	if got := text("[200 bar, 201 bar, 201 bar]", "# a remark\n\n"); got != is {
		t.Error("a line above is another fact")
	}
	dir = "overhauls/spares/"
	if got := text("[200 bar, 201 bar, 201 bar]", ""); got != is {
		t.Error("the record in another folder is another fact")
	}
	if got := text("[200 bar, 202 bar, 202 bar]", ""); got == is {
		t.Error("another pressure is the same fact")
	}
}

// TestBothSign lets one and two persons sign a correction of a limit that takes a stop away: the stop is gone when the
// chief and the superintendent have, and no sooner. Outside source: none; it is the rule of who answers for what.
func TestBothSign(t *testing.T) {
	signer := func(who string) logbook.Commit {
		role := map[byte]string{'c': "chief", 's': "superintendent"}[who[0]]
		return logbook.Commit{ID: strings.Repeat("d", 40), State: logbook.Signed, Person: who, Roles: []string{role}, Stands: true}
	}
	for _, x := range []struct {
		changed string   // who changed the limit
		answers []string // who answered, each in a commit of their own
		held    string   // empty: both have signed
	}{
		{"s.shore", []string{"c.one"}, ""},
		{"s.shore", []string{"a.two"}, "neither chief in post nor superintendent"},
		{"s.shore", []string{"s.shore"}, "the chief in post signs it too"},
		{"s.shore", []string{"s.four"}, "the chief in post signs it too"},
		{"c.one", []string{"c.one"}, "the superintendent signs it too"},
		{"c.one", []string{"s.four"}, ""},
		{"b.three", []string{"s.four"}, "the chief in post signs it too"},
		{"b.three", []string{"s.four", "c.one"}, ""},
		{"b.three", []string{"c.one", "s.four"}, ""},
	} {
		files, trail := caseFiles(t, folder(t, "testdata/base"), "testdata/limit-loosened/corrected.txtar")
		k := &trail.Commits[2]
		k.Person, k.Roles = x.changed, signer(x.changed).Roles
		f := onlyFinding(t, files, limitLoosened, trail)
		lines, row := answersHead, &logbook.RecordTrail{Path: "answers.csv", Versions: []logbook.Version{{Path: "answers.csv"}},
			Values: map[string]logbook.Setting{}}
		for i, who := range x.answers {
			trail.Commits = append(trail.Commits, signer(who))
			day := fmt.Sprint("2021-07-0", i+1)
			line := answerLine(f, 1, day, "compared with the manual", who, "")
			key := logbook.RowKey([]string{day, limitLoosened.Name, f.Subject.String(), f.Text}, []int{0, 1, 2, 3})
			row.Values[key] = logbook.Setting{Commit: len(trail.Commits) - 1, Written: line}
			lines += line
		}
		trail.Records["answers.csv"] = row
		files["answers.csv"] = &fstest.MapFile{Data: []byte(lines)}
		b, err := logbook.Read(files)
		if err != nil {
			t.Fatal(err)
		}
		r := Run(b, Options{Only: []*Check{limitLoosened}, Trail: trail, On: b.Today() + 365})
		mayStop(t, b, Options{Trail: trail, On: b.Today() + 365}, r.Findings)
		var state State
		var held string
		stops := 0
		for _, g := range r.Findings {
			if g.Check == limitLoosened.Name {
				state, held = g.State, g.Held
			} else if g.State == Open {
				stops++
			}
		}
		switch {
		case x.held == "" && (state != Answered || stops != 0):
			t.Errorf("changed by %s, answered by %s: %s (%s), %d stops; want it answered, and none", x.changed, x.answers, state, held, stops)
		case x.held != "" && (state != Open || stops != 1 || !strings.Contains(held, x.held)):
			t.Errorf("changed by %s, answered by %s: %s (%s), %d stops; want it open with its stop: %s", x.changed, x.answers, state, held,
				stops, x.held)
		}
	}
}

// TestAnswersMisread makes slips in a line that answers: each is asked about once, at the line, with what it would have
// ended told under it, and what is proposed ends it. No outside source.
func TestAnswersMisread(t *testing.T) {
	const crew = "id,name,rank,from,to\na.two,A. Two,second engineer,2020-01-01,2030-01-01\n" +
		"b.three,B. Three,third engineer,2020-01-01,2030-01-01\n"
	files, _ := caseFiles(t, folder(t, "testdata/base"), "testdata/as-found-missing/none.md")
	files["crew.csv"] = &fstest.MapFile{Data: []byte(crew)}
	f := onlyFinding(t, files, asFoundMissing, nil)
	right := answerLine(f, 1, "2020-09-01", "not known", "a.two", "")
	for _, x := range []struct {
		name, was, is string
		want          string // what is said at the line; empty: nothing
		types         string
	}{
		{"no slip", "", "", "", ""},
		{"the check misspelt", "as-found-missing", "as-fuond-missing",
			`check "as-fuond-missing": by its digest it answers as-found-missing`, "as-found-missing"},
		{"another record", f.Subject.Name, "2020-01-01-h-9",
			`place "record 2020-01-01-h-9": by its digest it answers ` + f.Subject.String(), f.Subject.String()},
		{"a later year", "2020-09-01", "2042-09-01", "date 2042-09-01 is after the last day of the book", ""},
		{"the day of a country", "2020-09-01", "1/9/2020", `date "1/9/2020": expected a date`, ""},
		{"two digits of the digest", f.Text, f.Text[1:2] + f.Text[:1] + f.Text[2:], "digest", f.Text},
		{"other facts", f.Text, "0123456789ab", "", ""},
		{"one who may not answer, misspelt", "as-found-missing,", "as-fuond-missing,b.three", "", ""},
	} {
		t.Run(x.name, func(t *testing.T) {
			line := strings.Replace(right, x.was, x.is, 1)
			if of, by, _ := strings.Cut(x.is, ","); by != "" {
				line = strings.Replace(strings.Replace(right, x.was, of+",", 1), "a.two", by, 1)
			}
			files["answers.csv"] = &fstest.MapFile{Data: []byte(answersHead + line)}
			b, err := logbook.Read(files)
			if err != nil {
				t.Fatal(err)
			}
			var said, alone int
			for _, g := range Run(b, Options{Only: []*Check{asFoundMissing, dateForm}}).Findings {
				alone += oneIf(g.Check == asFoundMissing.Name && g.State == Open)
				if g.Place.Path != "answers.csv" || g.State != Open {
					continue
				}
				said++
				if !strings.Contains(g.Message, x.want) || g.Place.Line != 2 {
					t.Errorf("%s: %s, want %q", g.Place, g.Message, x.want)
				}
				if !slices.ContainsFunc(g.Related, func(r Related) bool {
					words, told := r.Follows()
					return told && words == f.Message
				}) {
					t.Errorf("%q is not told under %s", f.Message, g.Message)
				}
				if x.types != "" && (g.Proposal == nil || g.Proposal.Types[0] != x.types) {
					t.Errorf("%s: %s, want it to type %s", g.Message, g.Next, x.types)
				}
			}
			wantAlone := 0
			if x.want == "" && x.name != "no slip" {
				wantAlone = 1
			}
			if said != oneIf(x.want != "") || alone != wantAlone {
				t.Errorf("%d said of the line, %d of the finding alone; want %d and %d", said, alone, oneIf(x.want != ""), wantAlone)
			}
		})
	}
}

// oneIf is 1 where something holds.
func oneIf(holds bool) int {
	if holds {
		return 1
	}
	return 0
}
