package desk

import (
	"archive/zip"
	"bytes"
	"encoding/base64"
	"hash/crc32"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/mod/sumdb/note"

	"firstrod/engine"
)

// keyPair is a key that is the same in every run of the tests.
func keyPair(t testing.TB, name string) (note.Signer, note.Verifier) {
	t.Helper()
	var seed [32]byte
	copy(seed[:], name)
	secret, public, err := NewKey(rand.NewChaCha8(seed), name)
	if err != nil {
		t.Fatal(err)
	}
	s, err := note.NewSigner(secret)
	if err != nil {
		t.Fatal(err)
	}
	v, err := Verifier(public)
	if err != nil {
		t.Fatal(err)
	}
	return s, v
}

const yard = "rules.yard.example"

// sealed is a published folder in a bundle, and what it was made of.
func sealed(t testing.TB) (bundle []byte, c Candidate) {
	t.Helper()
	dir := newFolder(t)
	publish(t, dir, "first rules of the yard")
	return seal(t, dir)
}

func seal(t testing.TB, dir string) ([]byte, Candidate) {
	t.Helper()
	s, _ := keyPair(t, yard)
	c := read(t, dir)
	b, err := Seal(c, s)
	if err != nil {
		t.Fatal(err)
	}
	return b, c
}

// parts is what is in a bundle; a test changes it and packs it again.
func parts(t testing.TB, bundle []byte) []file {
	t.Helper()
	z, err := zip.NewReader(bytes.NewReader(bundle), int64(len(bundle)))
	if err != nil {
		t.Fatal(err)
	}
	var all []file
	for _, f := range z.File {
		data, err := entry(f)
		if err != nil {
			t.Fatal(err)
		}
		all = append(all, file{f.Name, data})
	}
	return all
}

func at(all []file, path string) int {
	return slices.IndexFunc(all, func(f file) bool { return f.path == path })
}

func swap(all []file, path, old, new string) []file {
	i := at(all, path)
	all[i].data = []byte(strings.Replace(string(all[i].data), old, new, 1))
	return all
}

func TestASealedBundleOpens(t *testing.T) {
	bundle, c := sealed(t)
	_, v := keyPair(t, yard)
	got, err := Unseal(bundle, v, "a file")
	if err != nil {
		t.Fatal(err)
	}
	if got.Sum != c.Sum || !got.Publication.Same(c.Publication) || !got.Published || got.From != "a file" {
		t.Errorf("%+v", got)
	}
	if raw, err := fs.ReadFile(got.Files, "local/us-va/overlay.yaml"); err != nil || string(raw) != "standoff: 45 ft\n" {
		t.Errorf("%q, %v", raw, err)
	}
	again, _ := Seal(c, func() note.Signer { s, _ := keyPair(t, yard); return s }())
	if !bytes.Equal(again, bundle) {
		t.Error("the same rules make two bundles")
	}
	s, _ := keyPair(t, yard)
	dir := newFolder(t)
	_, err = Seal(read(t, dir), s)
	fails(t, err, engine.Rules, "nothing has been published")
}

// Everything that is refused, with the reason that helps whoever got it.
func TestWhatIsNoBundle(t *testing.T) {
	bundle, _ := sealed(t)
	otherKey := func(all []file) []file {
		s, _ := keyPair(t, "somebody.else")
		i := at(all, manifestName)
		n, err := note.Open(all[i].data, note.VerifierList(func() note.Verifier { _, v := keyPair(t, yard); return v }()))
		if err != nil {
			t.Fatal(err)
		}
		all[i].data, err = note.Sign(&note.Note{Text: n.Text}, s)
		if err != nil {
			t.Fatal(err)
		}
		return all
	}
	// The signature line is an em dash, the name of the key, and in base64 four
	// bytes of the key's id before the signature.
	line := func(change func(name string, sig []byte) (string, []byte)) func([]file) []file {
		return func(all []file) []file {
			i := at(all, manifestName)
			text, signature, _ := strings.Cut(string(all[i].data), "\n\n\u2014 ")
			name, b64, _ := strings.Cut(strings.TrimSpace(signature), " ")
			raw, err := base64.StdEncoding.DecodeString(b64)
			if err != nil {
				t.Fatal(err)
			}
			name, raw = change(name, raw)
			all[i].data = []byte(text + "\n\n\u2014 " + name + " " + base64.StdEncoding.EncodeToString(raw) + "\n")
			return all
		}
	}
	drop := func(path string) func([]file) []file {
		return func(all []file) []file { i := at(all, path); return slices.Delete(all, i, i+1) }
	}
	add := func(path, text string) func([]file) []file {
		return func(all []file) []file { return append(all, file{path, []byte(text)}) }
	}
	for name, c := range map[string]struct {
		change func([]file) []file
		say    string
	}{
		"not signed": {drop(manifestName), "not signed: it has no manifest.note"},
		"signature taken away": {func(all []file) []file {
			i := at(all, manifestName)
			text, _, _ := strings.Cut(string(all[i].data), "\u2014")
			all[i].data = []byte(text)
			return all
		}, "not signed: manifest.note has no signature"},
		"another key": {otherKey, "signed with another key than " + yard},
		"no key name": {line(func(_ string, sig []byte) (string, []byte) { return "", sig }), "does not hold"},
		"no key id": {line(func(name string, sig []byte) (string, []byte) {
			return name, append(make([]byte, 4), sig[4:]...)
		}), "signed with another key"},
		"no signature behind the id": {line(func(name string, sig []byte) (string, []byte) { return name, sig[:4] }), "does not hold"},
		"a bit of the signature": {line(func(name string, sig []byte) (string, []byte) {
			sig[20] ^= 1
			return name, sig
		}), "does not hold"},
		"another serial in the manifest": {func(all []file) []file {
			return swap(all, manifestName, "\n1\n", "\n2\n")
		}, "does not hold"},
		"another serial beside it": {func(all []file) []file {
			return swap(all, publicationName, `"serial": 1`, `"serial": 2`)
		}, "publication.json is not the one that was signed"},
		"another name beside it": {func(all []file) []file {
			return swap(all, publicationName, "Alma Ruiz", "Otto Krug")
		}, "publication.json is not the one that was signed"},
		"no publication": {drop(publicationName), "publication.json cannot be read"},
		"edited":         {func(all []file) []file { return swap(all, "base/params.yaml", "30 ft", "03 ft") }, "one was changed, added or taken away"},
		"one less":       {drop("base/ground/metal.rego"), "one was changed, added or taken away"},
		"one more":       {add("base/ground/more.rego", "package x\n"), "one was changed, added or taken away"},
		"moved": {func(all []file) []file {
			all[at(all, "base/ground/metal.rego")].path = "base/gear/metal.rego"
			return all
		}, "one was changed, added or taken away"},
		"absolute":         {add("/etc/passwd", ""), "leads out of the folder"},
		"up and away":      {add("base/../../x.rego", ""), "leads out of the folder"},
		"backslashes":      {add(`base\..\x.rego`, ""), "leads out of the folder"},
		"hidden":           {add("base/.x.rego", ""), "may not begin with a dot"},
		"a drive":          {add("C:x.rego", ""), "letters, digits"},
		"elsewhere":        {add("ground/metal.rego", ""), "neither to base"},
		"a folder":         {add("base/more/", ""), "not a plain file"},
		"twice":            {add("base/params.yaml", "standoff: 30 ft\n"), "two files of this name"},
		"twice but larger": {add("base/PARAMS.yaml", "x"), "two files of this name"},
		"two manifests": {func(all []file) []file {
			return append(all, all[at(all, manifestName)])
		}, "two files of this name"},
		"two publications": {func(all []file) []file {
			return append(all, all[at(all, publicationName)])
		}, "two files of this name"},
		"a large file": {add("base/big.rego", strings.Repeat("x", MaxFile+1)), "larger than 1 MiB"},
	} {
		t.Run(name, func(t *testing.T) {
			blob, err := pack(c.change(parts(t, bundle)))
			if err != nil {
				t.Fatal(err)
			}
			_, v := keyPair(t, yard)
			_, err = Unseal(blob, v, "x")
			fails(t, err, engine.Rules, c.say)
		})
	}
}

func TestABundleWithoutAKey(t *testing.T) {
	bundle, _ := sealed(t)
	_, err := Unseal(bundle, nil, "x")
	fails(t, err, engine.Rules, "no key")
	_, public, err := NewKey(rand.NewChaCha8([32]byte{}), yard)
	if err != nil {
		t.Fatal(err)
	}
	name, rest, _ := strings.Cut(public, "+")
	id, key, _ := strings.Cut(rest, "+")
	for what, text := range map[string]string{
		"empty": "", "no name": "+" + id + "+" + key, "no id": name + "++" + key, "another id": name + "+00000000+" + key,
		"no key": name + "+" + id + "+", "another kind of key": name + "+" + id + "+Ag" + key[2:], "a space": "a b+" + id + "+" + key,
	} {
		_, err := Verifier(text)
		if err == nil {
			t.Errorf("%s: taken for a key", what)
		}
	}
	for _, name := range []string{"", "a b", "a+b"} {
		_, _, err := NewKey(rand.NewChaCha8([32]byte{}), name)
		fails(t, err, engine.Usage, "cannot be the name")
	}
}

// Whoever mixes the two halves of a key up is told which is wanted, and the private
// one is not shown.
func TestTheOtherHalfOfAKey(t *testing.T) {
	secret, public, err := NewKey(rand.NewChaCha8([32]byte{}), yard)
	if err != nil {
		t.Fatal(err)
	}
	_, err = Verifier(secret + "\n")
	fails(t, err, engine.Usage, "this is the private key")
	if strings.Contains(err.Error(), secret[len(secret)-20:]) {
		t.Error("the private key is shown")
	}
	_, err = Signer(public + "\n")
	fails(t, err, engine.Usage, "this is the public key")
}

// Two spellings of one signature are one too many.
func TestALooseSpellingOfTheSignature(t *testing.T) {
	bundle, _ := sealed(t)
	all := parts(t, bundle)
	i := at(all, manifestName)
	text := strings.TrimSuffix(string(all[i].data), "\n")
	const digits = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/"
	end := strings.TrimRight(text, "=")
	last := strings.IndexByte(digits, end[len(end)-1])
	if pad := len(text) - len(end); pad == 0 {
		t.Fatal("68 bytes are no multiple of 3, and so there is padding")
	}
	all[i].data = []byte(end[:len(end)-1] + string(digits[last+1]) + text[len(end):] + "\n")
	blob, err := pack(all)
	if err != nil {
		t.Fatal(err)
	}
	_, v := keyPair(t, yard)
	if _, err := note.Open(all[i].data, note.VerifierList(v)); err != nil {
		t.Fatalf("the spelling is no other: %v", err)
	}
	_, err = Unseal(blob, v, "x")
	fails(t, err, engine.Rules, "does not hold")
}

// What another program packs of the same bytes is the same bundle.
func TestRepackedIsTheSame(t *testing.T) {
	bundle, c := sealed(t)
	all := parts(t, bundle)
	slices.Reverse(all)
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for _, f := range all {
		h := &zip.FileHeader{Name: f.path, Method: zip.Store, Comment: "repacked", Modified: noon}
		h.SetMode(0o600)
		w, err := z.CreateHeader(h)
		if err != nil {
			t.Fatal(err)
		}
		w.Write(f.data)
	}
	z.SetComment("by another program")
	z.Close()
	_, v := keyPair(t, yard)
	got, err := Unseal(b.Bytes(), v, "x")
	if err != nil || got.Sum != c.Sum {
		t.Errorf("%v", err)
	}
}

// raw makes an archive with one entry that says of itself what it likes.
func raw(t *testing.T, h zip.FileHeader, data []byte) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	h.CRC32 = crc32.ChecksumIEEE(data)
	w, err := z.CreateRaw(&h)
	if err != nil {
		t.Fatal(err)
	}
	w.Write(data)
	z.Close()
	return b.Bytes()
}

func TestArchivesThatLie(t *testing.T) {
	_, v := keyPair(t, yard)
	link := zip.FileHeader{Name: "base/x.rego", CompressedSize64: 4, UncompressedSize64: 4}
	link.SetMode(0o777 | fs.ModeSymlink)
	pipe := link
	pipe.SetMode(0o777 | fs.ModeNamedPipe)
	var bomb bytes.Buffer
	z := zip.NewWriter(&bomb)
	w, _ := z.Create("base/x.rego") // compressed: a thousand bytes that are a MiB
	w.Write(make([]byte, MaxFile))
	z.Close()
	many := func(n, size int) []byte {
		var all []file
		for i := range n {
			all = append(all, file{"base/" + strings.Repeat("x", 1+i%150) + "/" + strings.Repeat("y", 1+i/150) + ".rego", make([]byte, size)})
		}
		blob, err := pack(all)
		if err != nil {
			t.Fatal(err)
		}
		return blob
	}
	good, _ := sealed(t)
	for name, c := range map[string]struct {
		blob []byte
		say  string
	}{
		"a link":            {raw(t, link, []byte("/etc")), "link to another place"},
		"a pipe":            {raw(t, pipe, []byte("xxxx")), "not a plain file"},
		"a compressed bomb": {bomb.Bytes(), "compressed"},
		"declared large":    {raw(t, zip.FileHeader{Name: "base/x.rego", CompressedSize64: 4, UncompressedSize64: 1 << 40}, []byte("xxxx")), "larger than 1 MiB"},
		"declared small":    {raw(t, zip.FileHeader{Name: "base/x.rego", CompressedSize64: 2000, UncompressedSize64: 4}, make([]byte, 2000)), "two sizes"},
		"beyond the end":    {raw(t, zip.FileHeader{Name: "base/x.rego", CompressedSize64: 9000, UncompressedSize64: 9000}, make([]byte, 20)), "damaged"},
		"too many files":    {many(MaxFiles+3, 0), "2003 files, more than 2000"},
		"one too many":      {many(MaxFiles+1, 0), "more than 2000 files"},
		"too large as one":  {many(17, MaxFile), "larger than"},
		"too large in all":  {many(MaxPack/MaxFile*2, MaxFile/2+1), "larger than 16 MiB"},
		"far too large":     {make([]byte, MaxBundle+1), "larger than 17 MiB"},
		"cut in half":       {good[:len(good)/2], "a part of it is missing"},
		"without its end":   {good[:len(good)-1], "a part of it is missing"},
		"nothing":           {nil, "not an archive"},
		"a page of the web": {[]byte("<html>please sign in</html>"), "not an archive"},
	} {
		t.Run(name, func(t *testing.T) {
			_, err := Unseal(c.blob, v, "x")
			fails(t, err, engine.Rules, c.say)
		})
	}
}

// Entries that share their bytes make a small archive that is large when it is
// read. Each declares its size, and the sum of them is bounded.
func TestEntriesThatShareTheirBytes(t *testing.T) {
	data := make([]byte, MaxFile)
	single := raw(t, zip.FileHeader{Name: "base/x00.rego", CompressedSize64: MaxFile, UncompressedSize64: MaxFile}, data)
	end := bytes.LastIndex(single, []byte("PK\x05\x06"))
	dir := bytes.LastIndex(single[:end], []byte("PK\x01\x02"))
	record, tail := single[dir:end], slices.Clone(single[end:])
	blob := slices.Clone(single[:dir])
	const n = 40
	for i := range n {
		r := bytes.Replace(record, []byte("x00"), []byte{'x', '0' + byte(i/10), '0' + byte(i%10)}, 1)
		blob = append(blob, r...)
	}
	tail[8], tail[10] = n, n
	size := len(record) * n
	tail[12], tail[13], tail[14] = byte(size), byte(size>>8), byte(size>>16)
	blob = append(blob, tail...)
	z, err := zip.NewReader(bytes.NewReader(blob), int64(len(blob)))
	if err != nil || len(z.File) != n {
		t.Fatalf("the archive is not what this test is about: %v", err)
	}
	_, _, err = unpack(blob)
	fails(t, err, engine.Rules, "larger than 16 MiB")
}

func TestImport(t *testing.T) {
	from, to := newFolder(t), filepath.Join(t.TempDir(), "new")
	publish(t, from, "first")
	_, v := keyPair(t, yard)
	carry := func() (bool, error) {
		b, _ := seal(t, from)
		c, err := Unseal(b, v, "x")
		if err != nil {
			t.Fatal(err)
		}
		return Import(to, c)
	}
	if fresh, err := carry(); err != nil || !fresh {
		t.Fatal(fresh, err)
	}
	a, b := read(t, from), read(t, to)
	if !b.Published || a.Sum != b.Sum || !a.Publication.Same(b.Publication) {
		t.Errorf("%+v", b)
	}
	if fresh, err := carry(); err != nil || fresh {
		t.Errorf("the same again: %v, %v", fresh, err)
	}
	old, _ := seal(t, from)
	write(t, filepath.Join(from, "base/params.yaml"), "standoff: 45 ft\n")
	os.Remove(filepath.Join(from, "local/us-va/ground/clay.rego"))
	publish(t, from, "second")
	if fresh, err := carry(); err != nil || !fresh || read(t, to).Sum != read(t, from).Sum {
		t.Errorf("%v, %v", fresh, err)
	}
	c, err := Unseal(old, v, "x")
	if err != nil {
		t.Fatal(err)
	}
	_, err = Import(to, c)
	fails(t, err, engine.Rules, "publication 1 is not newer than 2")
	other := newFolder(t)
	publish(t, other, "first")
	publish(t, other, "quite another second")
	oc := read(t, other)
	_, err = Import(to, oc)
	fails(t, err, engine.Rules, "publication 2 is not newer than 2")
	write(t, filepath.Join(other, "base/params.yaml"), "x")
	_, err = Import(to, read(t, other))
	fails(t, err, engine.Rules, "never published")
	if now := read(t, to); now.Publication.Serial != 2 || !now.Published {
		t.Errorf("%+v", now)
	}
}
