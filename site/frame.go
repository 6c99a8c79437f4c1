package site

import (
	"bytes"
	_ "embed"
	"html/template"
)

//go:embed style.css
var style []byte

//go:embed comfort.js
var comfort []byte

// policy lets nothing in but our own stylesheet, pictures and script file: whatever a record holds, no script of it runs and nothing is
// fetched from elsewhere.
const policy = "default-src 'none'; style-src 'self'; img-src 'self'; script-src 'self'; base-uri 'none'; form-action 'none'"

// The frame round every page.
var frameHead = template.Must(template.New("head").Parse(`<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="` + policy + `">
<meta name="viewport" content="width=device-width, initial-scale=1">
<meta name="referrer" content="no-referrer">
<meta name="color-scheme" content="light dark">
<title>{{.Title}}{{if ne .Title .Vessel}} · {{.Vessel}}{{end}}</title>
<link rel="stylesheet" href="style.css">
<script src="comfort.js"></script>
</head>
<body class="{{.Class}}">
<a class="skip" href="#main">to the text of this page</a>
<header class="way"><nav aria-label="where this page stands">{{if .Way}}<a href="index.html">{{.Vessel}}</a>{{range .Way}} <span aria-hidden="true">/</span> {{if .To}}<a href="{{.To}}">{{.Text}}</a>{{else}}<span aria-current="page">{{.Text}}</span>{{end}}{{end}}{{else}}<span aria-current="page">{{.Vessel}}</span>{{end}}</nav></header>
<main id="main">
`))

var frameFoot = template.Must(template.New("foot").Parse(`</main>
<footer>
<nav aria-label="all pages" class="leaves"><a href="index.html">the vessel</a> <a href="findings.html">what stands out</a> <a href="since.html">what changed</a> <a href="due.html">what is due</a> <a href="interval.html">how long may it wait</a> <a href="causes.html">what goes together</a> <a href="drawings.html">in drawings</a> <a href="stores.html">what we have</a> <a href="promised.html">what was promised</a> <a href="handover.html">handing over</a> <a href="nox.html">nozzle changes</a> <a href="survey.html">for the survey</a> <a href="overhauls.html">overhauls</a> <a href="rounds.html">rounds</a> <a href="parts.html">parts and instruments</a> <a href="files.html">limits and other files</a> <a href="trace.html">trace</a> <a href="checks.html">the checks</a> <a href="how-to-read-this.html">how to read this</a> <a href="cautions.html">cautions</a></nav>
<p>{{.Vessel}}, {{.Day}}{{if .Commit}}, commit <code>{{.Commit}}</code> of {{.Stated}} (stated){{end}}. {{.Proof}}.</p>
<p class="yield">{{.Short}} <a href="cautions.html">The whole text, and the cautions before work on a valve</a>.</p>
{{if .Full}}<section class="full"><h2>Cautions</h2><ol>{{range .Cautions}}<li>{{.}}</li>{{end}}</ol><p>{{.Long}}</p></section>
{{end}}</footer>
</body>
</html>
`))

// step is one step of the way to a page.
type step struct {
	To   ref
	Text string
}

// frame is what the frame of one page says.
type frame struct {
	Title, Vessel, Class string
	Way                  []step
}

// begin starts a page anew.
func (s *sheet) begin(title, class string, way ...step) *sheet {
	s.b, s.drawn, s.paged = s.b[:0], 0, 0
	for i := range way {
		way[i].Text = visible(way[i].Text)
	}
	buf := bytes.NewBuffer(s.b)
	if err := frameHead.Execute(buf, frame{visible(title), s.vessel, class, way}); err != nil {
		panic("site: the frame does not fit its data: " + err.Error())
	}
	s.b = buf.Bytes()
	return s
}

// end completes the page and takes it into the build. Overhaul pages carry the full cautions for the printer.
func (s *sheet) end(name ref, foot []byte) error {
	s.b = append(s.b, foot...)
	return s.out.put(string(name), s.b)
}

// foot is the foot of all pages of a build, full with every caution and short.
func (s *site) foot(full bool) []byte {
	head := s.trail.Commits
	data := struct {
		Vessel, Day, Commit, Stated, Proof, Short, Long string
		Cautions                                        []string
		Full                                            bool
	}{Vessel: s.vessel, Day: s.stateDay(), Proof: s.proofLine(), Short: yieldShort, Long: yieldFull, Cautions: cautions, Full: full}
	if len(s.trail.Head) >= shortID && len(head) > 0 {
		data.Commit, data.Stated = s.trail.Head[:shortID], head[len(head)-1].Stated.UTC().Format("2006-01-02")
	}
	var buf bytes.Buffer
	if err := frameFoot.Execute(&buf, data); err != nil {
		panic("site: the foot does not fit its data: " + err.Error())
	}
	return buf.Bytes()
}
