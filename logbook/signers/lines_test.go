package signers

import (
	"crypto/ed25519"
	"strings"
	"testing"
	"time"

	"golang.org/x/crypto/ssh"
)

func testKey(t *testing.T, n byte) ssh.PublicKey {
	seed := make([]byte, ed25519.SeedSize)
	seed[0] = n
	k, err := ssh.NewSignerFromKey(ed25519.NewKeyFromSeed(seed))
	if err != nil {
		t.Fatal(err)
	}
	return k.PublicKey()
}

// Each change of the register touches the lines it is about and leaves every other byte; comments and blank lines too.
func TestRegisterLines(t *testing.T) {
	day := time.Date(2024, 1, 2, 0, 0, 0, 0, time.UTC)
	one := strings.TrimSpace(string(ssh.MarshalAuthorizedKey(testKey(t, 1))))
	two := strings.TrimSpace(string(ssh.MarshalAuthorizedKey(testKey(t, 2))))
	three := strings.TrimSpace(string(ssh.MarshalAuthorizedKey(testKey(t, 3))))
	before := "# hands of the ship\n\na.b@ship namespaces=\"git,engineer@needlebook\",valid-after=\"20240101Z\" " + one + " A. B\n" +
		"c@ship namespaces=\"git,engineer@needlebook,chief@needlebook\" " + two // no line end: an editor's
	enrolled, err := Enrol([]byte(before), "d@ship", "chief", testKey(t, 3), day, time.Time{}, "D. E")
	want := before + "\nd@ship namespaces=\"git,engineer@needlebook,chief@needlebook\",valid-after=\"20240102Z\" " + three + " D. E\n"
	if err != nil || string(enrolled) != want {
		t.Errorf("Enrol: %v\n%s\nwant\n%s", err, enrolled, want)
	}
	off, err := SignOff(enrolled, "a.b", "", day.Add(90*time.Minute))
	want = strings.Replace(want, `valid-after="20240101Z"`, `valid-after="20240101Z",valid-before="202401020130Z"`, 1)
	if err != nil || string(off) != want {
		t.Errorf("SignOff: %v\n%s\nwant\n%s", err, off, want)
	}
	earlier, err := SignOff(off, "a.b@ship", "", day.Add(time.Hour))
	if err != nil || string(earlier) != strings.Replace(want, "202401020130Z", "202401020100Z", 1) {
		t.Errorf("SignOff to an earlier minute: %v\n%s", err, earlier)
	}
	left, keys, err := Remove(off, "a.b", "")
	if err != nil || len(keys) != 1 || keys[0] != ssh.FingerprintSHA256(testKey(t, 1)) || strings.Contains(string(left), "a.b@ship") || !strings.HasPrefix(string(left), "# hands of the ship\n\nc@ship") {
		t.Errorf("Remove: %v %v\n%s", err, keys, left)
	}
	for name, err := range map[string]error{
		"is in the register already, for c@ship": second(Enrol([]byte(before), "e@ship", "engineer", testKey(t, 2), day, time.Time{}, "")),
		"role \"cook\"":                          second(Enrol([]byte(before), "e@ship", "cook", testKey(t, 4), day, time.Time{}, "")),
		"is no name for a signer":                second(Enrol([]byte(before), "É@ship", "engineer", testKey(t, 4), day, time.Time{}, "")),
		"a signer who comes back makes a new":    second(Enrol(off, "a.b@ship", "engineer", testKey(t, 1), day, time.Time{}, "")),
		"is not one line":                        second(Enrol([]byte(before), "e@ship", "engineer", testKey(t, 4), day, time.Time{}, "A\nB")),
		"is the last superintendent":             second(SignOff([]byte("s@shore namespaces=\"git,superintendent@needlebook\" "+one+"\n"), "s", "", day)),
		"line 1":                                 second(Enrol([]byte("* "+one+"\n"), "e@ship", "engineer", testKey(t, 4), day, time.Time{}, "")),
		"x is in no line":                        second(SignOff([]byte(before), "x", "", day)),
		"comes into force only on":               second(SignOff([]byte(before), "a.b", "", day.AddDate(0, -1, 0))),
		"end by then already":                    second(SignOff(off, "a.b", "", day.AddDate(0, 1, 0))),
		"with the key SHA256:none":               second(SignOff([]byte(before), "a.b", "SHA256:none", day)),
		"a reason is one line":                   second(Adopt(nil, strings.Repeat("a", 40), " ")),
		"a reason is one line of":                second(Compromise(nil, "SHA256:x", "none", "two\nlines")),
		"is adopted already: seen by myself":     second(Adopt([]byte(strings.Repeat("a", 40)+" seen by myself\n"), strings.Repeat("a", 40), "again")),
	} {
		if err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("error %v, want one that says %q", err, name)
		}
	}
	office := "s@shore namespaces=\"git,superintendent@needlebook\" " + one + "\nt@shore namespaces=\"git,superintendent@needlebook\" " + two + "\n"
	if _, err := SignOff([]byte(office), "s", "", day); err != nil {
		t.Errorf("one of two superintendents: %v", err)
	}
	adopted, err := Adopt([]byte("# answered for\n"), strings.Repeat("b", 40), "figure seen")
	if err != nil || string(adopted) != "# answered for\n"+strings.Repeat("b", 40)+" figure seen\n" {
		t.Errorf("Adopt: %v %q", err, adopted)
	}
}

func second(_ []byte, err error) error { return err }
