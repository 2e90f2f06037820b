package desk

import (
	"errors"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"firstrod/engine"
)

func TestPublish(t *testing.T) {
	dir := newFolder(t)
	p := publish(t, dir, "first rules of the yard")
	c := read(t, dir)
	if !c.Published || !c.Publication.Same(p) || c.Unpublished != "" || p.Serial != 1 {
		t.Fatalf("%+v", c)
	}
	write(t, filepath.Join(dir, "base/params.yaml"), "standoff: 1 ft\n")
	if c = read(t, dir); c.Published || !strings.Contains(c.Unpublished, "changed and not published") {
		t.Errorf("%+v", c)
	}
	if p = publish(t, dir, "shorter"); p.Serial != 2 || !read(t, dir).Published {
		t.Errorf("%+v", p)
	}
	for name, change := range map[string]func(){
		"taken away": func() { os.Remove(filepath.Join(dir, "base/ground/metal.rego")) },
		"added":      func() { write(t, filepath.Join(dir, "base/ground/more.rego"), "") },
	} {
		change()
		if read(t, dir).Published {
			t.Errorf("a file was %s, and the folder counts as published", name)
		}
	}
	serials, err := Serials(dir)
	if err != nil || !slices.Equal(serials, []int64{1, 2}) {
		t.Errorf("%v, %v", serials, err)
	}
	leftovers, _ := filepath.Glob(filepath.Join(dir, ".new-*"))
	more, _ := filepath.Glob(filepath.Join(dir, history, ".new-*"))
	if len(leftovers)+len(more) > 0 {
		t.Errorf("left behind: %v %v", leftovers, more)
	}
}

func TestPublishRefuses(t *testing.T) {
	for name, c := range map[string]struct {
		change func(*Publication)
		kind   engine.Failure
		say    string
	}{
		"nobody":            {func(p *Publication) { p.By = " " }, engine.Usage, "say who"},
		"no reason":         {func(p *Publication) { p.Why = "" }, engine.Usage, "say why"},
		"two lines":         {func(p *Publication) { p.Why = "a\nb" }, engine.Usage, "say why"},
		"a novel":           {func(p *Publication) { p.Why = strings.Repeat("x", 1001) }, engine.Usage, "say why"},
		"bytes for a name":  {func(p *Publication) { p.By = "\xff" }, engine.Usage, "say who"},
		"no time":           {func(p *Publication) { p.At = time.Time{} }, engine.Rules, "time"},
		"a split second":    {func(p *Publication) { p.At = p.At.Add(time.Millisecond) }, engine.Rules, "time"},
		"serial 0":          {func(p *Publication) { p.Serial = 0 }, engine.Rules, "counts from 1"},
		"the same serial":   {func(p *Publication) { p.Serial = 1 }, engine.Rules, "not newer than 1"},
		"other files":       {func(p *Publication) { p.Sum = strings.Repeat("0", 64) }, engine.Conflict, "changed while"},
		"no sum":            {func(p *Publication) { p.Sum = "" }, engine.Rules, "SHA-256"},
		"back to itself":    {func(p *Publication) { p.RollbackOf = p.Serial }, engine.Rules, "cannot be the files"},
		"back before the 1": {func(p *Publication) { p.RollbackOf = -1 }, engine.Rules, "cannot be the files"},
	} {
		t.Run(name, func(t *testing.T) {
			dir := newFolder(t)
			first := publish(t, dir, "first")
			p := Publication{Serial: 2, Sum: first.Sum, By: "Alma Ruiz", Why: "again", At: noon}
			c.change(&p)
			fails(t, Publish(dir, p), c.kind, c.say)
			if have := read(t, dir); !have.Publication.Same(first) {
				t.Errorf("it was published all the same: %+v", have.Publication)
			}
		})
	}
}

// Somebody who writes publication.json by hand gets nothing into force.
func TestAPublicationByHand(t *testing.T) {
	dir := newFolder(t)
	p := publish(t, dir, "first")
	name := filepath.Join(dir, publicationName)
	good, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	for what, text := range map[string]string{
		"no JSON":       "serial: 1\n",
		"empty":         "",
		"twice a key":   strings.Replace(string(good), `"serial": 1`, `"serial": 2, "serial": 1`, 1),
		"a key more":    strings.Replace(string(good), `"serial": 1,`, `"serial": 1, "also": 1,`, 1),
		"other spaces":  strings.Replace(string(good), `"serial": 1`, `"serial":  1`, 1),
		"something on":  string(good) + "{}",
		"another zone":  strings.Replace(string(good), "12:01:00Z", "13:01:00+01:00", 1),
		"no serial":     strings.Replace(string(good), `"serial": 1`, `"serial": 0`, 1),
		"another name":  strings.Replace(string(good), p.Sum, strings.ToUpper(p.Sum), 1),
		"without a why": strings.Replace(string(good), `"first"`, `""`, 1),
		"too large":     string(good) + strings.Repeat(" ", 10_000),
	} {
		write(t, name, text)
		if c := read(t, dir); c.Published || c.Unpublished == "" || text == string(good) {
			t.Errorf("%s: %+v", what, c)
		}
	}
}

// A crash after the copy was kept and before publication.json was written leaves
// the old publication, and the next one gets a serial of its own.
func TestACrashWhilePublishing(t *testing.T) {
	dir := newFolder(t)
	publish(t, dir, "first")
	write(t, filepath.Join(dir, "base/params.yaml"), "standoff: 31 ft\n")
	c := read(t, dir)
	raw, err := Publication{Serial: 2, Sum: c.Sum, By: "Alma Ruiz", Why: "second", At: noon}.encode()
	if err != nil {
		t.Fatal(err)
	}
	if err := keepCopy(dir, 2, c.files, raw); err != nil {
		t.Fatal(err)
	}
	if read(t, dir).Published {
		t.Fatal("published without publication.json")
	}
	if kept, err := Folder(dir).Kept(t.Context()); err != nil || kept.Publication.Serial != 1 {
		t.Errorf("%+v, %v", kept.Publication, err)
	}
	if p := publish(t, dir, "third"); p.Serial != 3 {
		t.Errorf("%+v", p)
	}
}

// Of many who publish at once each serial goes to one.
func TestTwoPublishAtOnce(t *testing.T) {
	dir := newFolder(t)
	publish(t, dir, "first")
	var done sync.WaitGroup
	var mu sync.Mutex
	given := map[int64]int{}
	for range 8 {
		done.Go(func() {
			p, err := tryPublish(dir, "at once")
			mu.Lock()
			defer mu.Unlock()
			if err == nil {
				given[p.Serial]++
			} else if k := engine.KindOf(err); k != engine.Conflict && k != engine.Rules {
				t.Error(err)
			}
		})
	}
	done.Wait()
	if len(given) == 0 {
		t.Error("nobody has published")
	}
	for serial, n := range given {
		if n != 1 {
			t.Errorf("%d was given %d times", serial, n)
		}
	}
}

func TestKeptCopies(t *testing.T) {
	dir := newFolder(t)
	p := publish(t, dir, "first")
	write(t, filepath.Join(dir, "base/params.yaml"), "standoff: 2 ft\n")
	c, err := Kept(dir, 1)
	if err != nil || c.Sum != p.Sum || !c.Publication.Same(p) || !c.Published {
		t.Fatalf("%+v, %v", c, err)
	}
	_, err = Kept(dir, 2)
	fails(t, err, engine.NotFound, "no copy of publication 2")
	if err := os.Rename(copyOf(dir, 1), copyOf(dir, 2)); err != nil {
		t.Fatal(err)
	}
	_, err = Kept(dir, 2)
	fails(t, err, engine.Rules, "not what was published")
	raw, err := os.ReadFile(copyOf(dir, 2))
	if err != nil {
		t.Fatal(err)
	}
	at := strings.Index(string(raw), "30 ft")
	raw[at] = '1'
	write(t, copyOf(dir, 1), string(raw))
	_, err = Kept(dir, 1)
	fails(t, err, engine.Rules, "damaged")
}

func TestRollback(t *testing.T) {
	dir := newFolder(t)
	first := publish(t, dir, "first")
	write(t, filepath.Join(dir, "base/params.yaml"), "standoff: 3 ft\n")
	write(t, filepath.Join(dir, "local/us-nc/overlay.yaml"), "more\n")
	os.Remove(filepath.Join(dir, "base/ground/metal.rego"))
	publish(t, dir, "a slip")
	write(t, filepath.Join(dir, "base/params.yaml"), "standoff: 4 ft\n") // not published
	half := read(t, dir)

	n, err := Earlier(dir)
	if err != nil || n != 1 {
		t.Fatalf("%d, %v", n, err)
	}
	p, err := Rollback(dir, n, "Alma Ruiz", "that was a slip", noon)
	if err != nil {
		t.Fatal(err)
	}
	c := read(t, dir)
	if p.Serial != 3 || p.RollbackOf != 1 || !c.Published || !c.Publication.Same(p) || c.Sum != first.Sum {
		t.Errorf("%+v: %+v", p, c)
	}
	if _, err := os.Stat(filepath.Join(dir, "local/us-nc")); !errors.Is(err, os.ErrNotExist) {
		t.Error("the folder of a pack that is gone stands about")
	}
	aside, err := readFile(filepath.Join(dir, history, "unpublished-"+half.Sum[:16]+".zip"))
	if err != nil {
		t.Fatal(err)
	}
	files, _, err := unpack(aside)
	if err != nil || sumOf(files) != half.Sum {
		t.Errorf("what was not published is lost: %v", err)
	}
	if n, err = Earlier(dir); err != nil || n != 2 {
		t.Errorf("before the rollback was %d, %v", n, err)
	}
	if _, err := Rollback(dir, 1, "", "x", noon); err == nil || read(t, dir).Publication.Serial != 3 {
		t.Error("a rollback by nobody")
	}
}

func TestNothingToGoBackTo(t *testing.T) {
	dir := newFolder(t)
	_, err := Earlier(dir)
	fails(t, err, engine.NotFound, "nothing has been published")
	publish(t, dir, "first")
	publish(t, dir, "the same again")
	_, err = Earlier(dir)
	fails(t, err, engine.NotFound, "nothing before publication 2")
}

func TestFollows(t *testing.T) {
	last := Publication{Serial: 3, Sum: "a", By: "x", Why: "y", At: noon}
	other := func(change func(*Publication)) Publication { p := last; change(&p); return p }
	for name, c := range map[string]struct {
		p   Publication
		say string // empty: it follows
	}{
		"the same":         {last, ""},
		"another zone":     {other(func(p *Publication) { p.At = p.At.In(time.FixedZone("x", 3600)) }), ""},
		"newer":            {other(func(p *Publication) { p.Serial = 4 }), ""},
		"older":            {other(func(p *Publication) { p.Serial = 2 }), "older than 3"},
		"other files":      {other(func(p *Publication) { p.Sum = "b" }), "with other files"},
		"somebody else":    {other(func(p *Publication) { p.By = "z" }), "another person"},
		"at another time":  {other(func(p *Publication) { p.At = noon.Add(time.Second) }), "another time"},
		"nothing whatever": {Publication{}, "older than 3"},
	} {
		err := c.p.Follows(last)
		if c.say == "" && err != nil {
			t.Errorf("%s: %v", name, err)
		} else if c.say != "" {
			fails(t, err, engine.Rules, c.say)
		}
	}
}
