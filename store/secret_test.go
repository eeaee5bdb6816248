package store

import (
	"bytes"
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"filippo.io/age"
)

func passphrase(t testing.TB, text string) Key {
	t.Helper()
	k, err := Passphrase(text)
	if err != nil {
		t.Fatal(err)
	}
	return k
}

// protected is a job whose secrets a passphrase opens; they are unlocked.
func protected(t testing.TB) *Store {
	t.Helper()
	s := newJob(t)
	if err := s.Protect(t.Context(), passphrase(t, "four plain words here")); err != nil {
		t.Fatal(err)
	}
	return s
}

func TestSecretsNeedTheirKey(t *testing.T) {
	ctx := t.Context()
	s := newJob(t)
	wantKind(t, s.Seal(ctx, "wifi", NewSecretText("x")), Locked)
	wantKind(t, s.Unlock(ctx, passphrase(t, "never set before")), Missing)
	if err := s.Protect(ctx, passphrase(t, "four plain words here")); err != nil {
		t.Fatal(err)
	}
	if err := s.Seal(ctx, "wifi", NewSecretText("geheim-ł-pass")); err != nil {
		t.Fatal(err)
	}
	s.Lock()
	_, err := s.Open(ctx, "wifi")
	wantKind(t, err, Locked)
	if names, err := s.SecretNames(ctx); err != nil || len(names) != 1 || names[0] != "wifi" {
		t.Errorf("names %v, %v", names, err)
	}
	wantKind(t, s.Unlock(ctx, passphrase(t, "four plain words there")), Locked, "does not fit")
	wantKind(t, s.Protect(ctx, passphrase(t, "a way round the old one")), Locked)
	if err := s.Unlock(ctx, passphrase(t, "four plain words here")); err != nil {
		t.Fatal(err)
	}
	if got, err := s.Open(ctx, "wifi"); err != nil || got.Reveal() != "geheim-ł-pass" {
		t.Errorf("opened %q, %v", got.Reveal(), err)
	}
	_, err = s.Open(ctx, "other")
	wantKind(t, err, Missing)
	if err := s.Forget(ctx, "wifi"); err != nil {
		t.Fatal(err)
	}
	wantKind(t, s.Forget(ctx, "wifi"), Missing)
	_, err = Passphrase("kurz")
	wantKind(t, err, Invalid, "8 characters")
}

func TestKeyFileAndChangedPassphrase(t *testing.T) {
	ctx := t.Context()
	s := protected(t)
	if err := s.Seal(ctx, "wifi", NewSecretText("plain text")); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "job.key")
	k, err := NewKeyFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if info, err := os.Stat(path); err != nil || info.Mode().Perm() != 0o600 {
		t.Errorf("the key file has mode %v, %v", info.Mode(), err)
	}
	_, err = NewKeyFile(path)
	wantKind(t, err, Exists)
	if err := s.Protect(ctx, k); err != nil {
		t.Fatal(err)
	}
	if err := s.Protect(ctx, passphrase(t, "another passphrase")); err != nil {
		t.Fatal(err)
	}
	if ways, err := s.Ways(ctx); err != nil || fmt.Sprint(ways) != "[keyfile passphrase]" {
		t.Errorf("ways %v, %v", ways, err)
	}
	file := s.Path()
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	if s, err = Open(ctx, file, quick()); err != nil {
		t.Fatal(err)
	}
	defer s.Close()
	wantKind(t, s.Unlock(ctx, passphrase(t, "four plain words here")), Locked)
	again, err := ReadKeyFile(path)
	if err != nil {
		t.Fatal(err)
	}
	for _, key := range []Key{again, passphrase(t, "another passphrase")} {
		if err := s.Unlock(ctx, key); err != nil {
			t.Fatal(err)
		}
		if got, err := s.Open(ctx, "wifi"); err != nil || got.Reveal() != "plain text" {
			t.Errorf("%v opened %q, %v", key, got.Reveal(), err)
		}
		s.Lock()
	}
	other, err := NewKeyFile(path + "2")
	if err != nil {
		t.Fatal(err)
	}
	wantKind(t, s.Unlock(ctx, other), Locked)
	if err := os.WriteFile(path, []byte("# nothing\nAGE-SECRET-KEY-1BAD\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	_, err = ReadKeyFile(path)
	wantKind(t, err, Invalid)
	if strings.Contains(err.Error(), "BAD") {
		t.Errorf("the error shows the line: %v", err)
	}
}

// TestPlainSecretsStandNowhere seals, replaces and forgets secrets, and searches every file of the job, open and closed,
// its exports and the errors for the plain bytes in their usual dresses.
func TestPlainSecretsStandNowhere(t *testing.T) {
	ctx := t.Context()
	s := protected(t)
	plain := []string{"correct-horse-battery", "Zweites/Geheimnis+42", "four plain words here"}
	for i, text := range plain[:2] {
		if err := s.Seal(ctx, fmt.Sprintf("name%d", i), NewSecretText(text)); err != nil {
			t.Fatal(err)
		}
	}
	made, err := s.NewSecret(ctx, SecretDefault)
	if err != nil {
		t.Fatal(err)
	}
	plain = append(plain, made.Reveal(), s.key.identity.String())
	if err := s.Seal(ctx, "module", made); err != nil {
		t.Fatal(err)
	}
	if err := s.Seal(ctx, "name0", NewSecretText("changed once more")); err != nil {
		t.Fatal(err)
	}
	plain = append(plain, "changed once more")
	if err := s.Forget(ctx, "name1"); err != nil {
		t.Fatal(err)
	}
	rev := must(t, s, 0, add(lamp("a", 1)))
	folder := filepath.Join(t.TempDir(), "text")
	if err := s.ExportFolder(ctx, rev, folder); err != nil {
		t.Fatal(err)
	}
	if err := s.Backup(ctx, s.Path()+".copy"); err != nil {
		t.Fatal(err)
	}
	searchFiles(t, filepath.Dir(s.Path()), plain)
	searchFiles(t, folder, plain)
	if err := s.Close(); err != nil {
		t.Fatal(err)
	}
	searchFiles(t, filepath.Dir(s.Path()), plain)
}

// searchFiles fails where a file holds one of the texts, as it is, in hexadecimal or in base64.
func searchFiles(t *testing.T, dir string, texts []string) {
	t.Helper()
	n := 0
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		n++
		for _, text := range texts {
			for _, dress := range []string{text, hex.EncodeToString([]byte(text)), base64.RawStdEncoding.EncodeToString([]byte(text))[:8]} {
				if bytes.Contains(data, []byte(dress)) {
					t.Errorf("%s holds the secret %q", path, dress)
				}
			}
		}
		return nil
	})
	if err != nil || n == 0 {
		t.Fatalf("%d files searched, %v", n, err)
	}
}

func TestSecretsAndKeysDoNotPrint(t *testing.T) {
	path := filepath.Join(t.TempDir(), "k")
	file, err := NewKeyFile(path)
	if err != nil {
		t.Fatal(err)
	}
	text, _ := os.ReadFile(path)
	lines := strings.Fields(string(text))
	secrets := []string{"open sesame please", lines[len(lines)-1]}
	for _, v := range []any{NewSecretText(secrets[0]), passphrase(t, secrets[0]), file, &file, struct{ K Key }{file}, []Secret{NewSecretText(secrets[0])}} {
		for _, verb := range []string{"%v", "%+v", "%#v", "%s", "%q", "%x", "%d"} {
			got := fmt.Sprintf(verb, v)
			for _, s := range append(secrets, hex.EncodeToString([]byte(secrets[0]))) {
				if strings.Contains(got, s) {
					t.Errorf("%s of %T shows it: %s", verb, v, got)
				}
			}
		}
		if out, err := json.Marshal(v); err == nil && bytes.Contains(out, []byte("sesame")) {
			t.Errorf("JSON of %T shows it: %s", v, out)
		}
	}
	if _, err := json.Marshal(NewSecretText("x")); err == nil {
		t.Error("a secret was written as JSON")
	}
	if got := fmt.Errorf("cannot join with %v", NewSecretText("sesame")).Error(); strings.Contains(got, "sesame") {
		t.Error(got)
	}
}

// TestNewSecretsAreEvenAndFreshAndWithoutLookAlikes draws many: the characters' counts are compared with the even ones by
// Pearson's chi-squared test (limit by the Wilson-Hilferty approximation at 3.89 standard
// deviations, a chance of 1 in 20 000), over a fixed seed.
func TestNewSecretsAreEvenAndFreshAndWithoutLookAlikes(t *testing.T) {
	random := rand.New(rand.NewPCG(3, 1))
	source := readerFunc(func(b []byte) (int, error) {
		for i := range b {
			b[i] = byte(random.Uint32())
		}
		return len(b), nil
	})
	count := map[rune]int{}
	const draws = 4000
	for range draws {
		text, err := draw(source, SecretDefault)
		if err != nil || len(text) != SecretDefault {
			t.Fatal(text, err)
		}
		for _, r := range text {
			count[r]++
		}
	}
	even := float64(draws*SecretDefault) / float64(len(alphabet))
	chi := 0.0
	for _, r := range alphabet {
		d := float64(count[r]) - even
		chi += d * d / even
	}
	k := float64(len(alphabet) - 1)
	limit := k * math.Pow(1-2/(9*k)+3.89*math.Sqrt(2/(9*k)), 3)
	if len(count) != len(alphabet) || chi > limit {
		t.Errorf("%d characters, chi-squared %.1f over %.1f", len(count), chi, limit)
	}
	for _, bad := range "0Oo1lI" {
		if strings.ContainsRune(alphabet, bad) {
			t.Errorf("the alphabet has %c", bad)
		}
	}
	if bits := SecretDefault * math.Log2(float64(len(alphabet))); bits < 64 {
		t.Errorf("%.1f bits are too few to stand without a throttle (NIST SP 800-63B 5.1.2.2: 64)", bits)
	}
}

type readerFunc func([]byte) (int, error)

func (f readerFunc) Read(b []byte) (int, error) { return f(b) }

func TestNewSecretNeverRepeats(t *testing.T) {
	ctx := t.Context()
	s := protected(t)
	for _, length := range []int{SecretLeast - 1, SecretMost + 1, 0, -1} {
		_, err := s.NewSecret(ctx, length)
		wantKind(t, err, Invalid)
	}
	seen := map[string]bool{}
	for range 50 {
		made, err := s.NewSecret(ctx, SecretLeast)
		if err != nil || seen[made.Reveal()] || len(made.Reveal()) != SecretLeast {
			t.Fatal(err, len(seen))
		}
		seen[made.Reveal()] = true
	}
	// A source that gives the same again and again is found out, also after the secret was forgotten.
	s.opt.Rand = readerFunc(func(b []byte) (int, error) { clear(b); return len(b), nil })
	same, err := s.NewSecret(ctx, SecretLeast)
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Seal(ctx, "same", same); err != nil {
		t.Fatal(err)
	}
	if err := s.Forget(ctx, "same"); err != nil {
		t.Fatal(err)
	}
	_, err = s.NewSecret(ctx, SecretLeast)
	wantKind(t, err, Broken, "repeats")
	s.opt.Rand = readerFunc(func(b []byte) (int, error) { b[0] = 0xff; return 1, nil })
	_, err = s.NewSecret(ctx, SecretLeast)
	wantKind(t, err, Broken)
	s.opt.Rand = readerFunc(func([]byte) (int, error) { return 0, io.ErrUnexpectedEOF })
	_, err = s.NewSecret(ctx, SecretLeast)
	wantKind(t, err, Broken)
}

// TestSealedBytesBelongToTheirName: moving sealed bytes to another name, or swapping the key pair, is found out.
func TestSealedBytesBelongToTheirName(t *testing.T) {
	ctx := t.Context()
	s := protected(t)
	for _, name := range []string{"a", "b"} {
		if err := s.Seal(ctx, name, NewSecretText("secret of "+name)); err != nil {
			t.Fatal(err)
		}
	}
	err := s.write(ctx, func(x *txn) error {
		var at string
		var sealed []byte
		if _, err := x.one("SELECT at, sealed FROM secret WHERE name = 'a'", nil, &at, &sealed); err != nil {
			return err
		}
		_, err := x.exec(sqlSeal, "b", at, sealed, newSum("secret").text("b", at).bytes(sealed).value())
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	_, err = s.Open(ctx, "b")
	wantKind(t, err, Torn, "another name")
	if strings.Contains(err.Error(), "secret of") {
		t.Error(err)
	}
}

// TestAForgedLockDoesNotKeepTheMachineBusy: a work factor beyond reason is refused at once.
func TestAForgedLockDoesNotKeepTheMachineBusy(t *testing.T) {
	k := passphrase(t, "four plain words here")
	locked, err := k.lock("AGE-SECRET-KEY-1", 4)
	if err != nil {
		t.Fatal(err)
	}
	forged := bytes.Replace(locked, []byte(" 4\n"), []byte(" 40\n"), 1)
	if bytes.Equal(forged, locked) {
		t.Fatal("nothing was forged")
	}
	_, err = k.unlock(forged)
	wantKind(t, err, Locked)
}

// TestAgeItselfOpensOurFile reads the lock and a secret with the library's plain functions: what is sealed is ordinary
// age (age-encryption.org/v1), so that a person with the passphrase can get at it without this program.
func TestAgeItselfOpensOurFile(t *testing.T) {
	ctx := t.Context()
	s := protected(t)
	if err := s.Seal(ctx, "wifi", NewSecretText("plain text")); err != nil {
		t.Fatal(err)
	}
	var hole, sealed []byte
	err := s.read(ctx, func(x *txn) (err error) {
		if hole, err = x.keyhole(ByPassphrase); err != nil {
			return err
		}
		_, err = x.one("SELECT sealed FROM secret", nil, &sealed)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	way, err := age.NewScryptIdentity("four plain words here")
	if err != nil {
		t.Fatal(err)
	}
	r, err := age.Decrypt(bytes.NewReader(hole), way)
	if err != nil {
		t.Fatal(err)
	}
	keys, err := age.ParseIdentities(r)
	if err != nil {
		t.Fatal(err)
	}
	r, err = age.Decrypt(bytes.NewReader(sealed), keys...)
	if err != nil {
		t.Fatal(err)
	}
	if text, err := io.ReadAll(r); err != nil || !bytes.Contains(text, []byte("plain text")) {
		t.Errorf("%q, %v", text, err)
	}
}

func TestUnpadRefusesOddities(t *testing.T) {
	for _, plain := range [][]byte{nil, {0x80}, {200, 1}, {1}, {1, 'a', 200}, bytes.Repeat([]byte{0xff}, 20)} {
		if text, ok := unpad("a", plain); ok {
			t.Errorf("%v gives %q", plain, text)
		}
	}
	if text, ok := unpad("a", pad("a", "b")); !ok || text != "b" {
		t.Error(text, ok)
	}
	if len(pad("a", "b")) != len(pad("a", "a longer secret of some length")) {
		t.Error("the length of what is sealed tells the secret's")
	}
}
