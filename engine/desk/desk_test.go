package desk

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"go.uber.org/goleak"

	"firstrod/engine"
)

// book is a rulebook that knows which publication it was made of.
type book struct{ serial int64 }

func (b *book) At(string, int64) engine.Evaluator { return nil }
func (b *book) Places() []string                  { return []string{"", fmt.Sprint(b.serial)} }

// stand is a desk with a clock that a test moves, and a loader that refuses the
// word BAD with its file and line, as a real one would.
type stand struct {
	t        *testing.T
	dir      string
	desk     *Desk
	mu       sync.Mutex
	now      time.Time
	step     chan struct{} // lets one Sleep go
	idle     chan struct{} // a Sleep has begun
	alerts   []Alert
	recorded []Publication
	asked    int
	accept   func(context.Context, Candidate) (engine.Rulebook, error) // nil: judge
	record   error
}

func newStand(t *testing.T, dir string, change func(*Config)) *stand {
	t.Helper()
	s := &stand{t: t, dir: dir, now: noon, step: make(chan struct{}), idle: make(chan struct{})}
	cfg := Config{
		Source: Folder(dir), Every: 3 * time.Second, Clock: Clock{s.time, s.sleep},
		Accept: func(ctx context.Context, c Candidate) (engine.Rulebook, error) {
			s.asked++
			if s.accept != nil {
				return s.accept(ctx, c)
			}
			return loads(ctx, c)
		},
		Alert: func(a Alert) { s.alerts = append(s.alerts, a) },
		Record: func(_ context.Context, _ engine.Rulebook, p Publication) error {
			if s.record == nil {
				s.recorded = append(s.recorded, p)
			}
			return s.record
		},
	}
	if change != nil {
		change(&cfg)
	}
	var err error
	if s.desk, err = New(cfg); err != nil {
		t.Fatal(err)
	}
	return s
}

func loads(_ context.Context, c Candidate) (engine.Rulebook, error) {
	for _, f := range c.files {
		for i, line := range strings.Split(string(f.data), "\n") {
			if strings.Contains(line, "BAD") {
				return nil, refused([]Fault{{File: f.path, Line: i + 1, Say: "BAD is no word", Hint: "take it out"}})
			}
		}
	}
	return &book{c.Publication.Serial}, nil
}

func (s *stand) time() time.Time { s.mu.Lock(); defer s.mu.Unlock(); return s.now }

func (s *stand) sleep(ctx context.Context, d time.Duration) error {
	select {
	case s.idle <- struct{}{}:
	case <-ctx.Done():
		return ctx.Err()
	}
	select {
	case <-s.step:
	case <-ctx.Done():
		return ctx.Err()
	}
	s.mu.Lock()
	s.now = s.now.Add(d)
	s.mu.Unlock()
	return nil
}

// run starts the desk; it has looked once when this returns, and ends with the
// test.
func (s *stand) run() *stand {
	ctx, stop := context.WithCancel(context.Background())
	ended := make(chan error, 1)
	go func() { ended <- s.desk.Run(ctx) }()
	s.t.Cleanup(func() {
		stop()
		if err := <-ended; !errors.Is(err, context.Canceled) {
			s.t.Errorf("Run ended with %v", err)
		}
	})
	<-s.idle
	return s
}

// looks lets the desk look n times.
func (s *stand) looks(n int) {
	for range n {
		s.step <- struct{}{}
		<-s.idle
	}
}

// heard wants the kinds of all alerts since it was asked last.
func (s *stand) heard(want ...Kind) []Alert {
	s.t.Helper()
	var kinds []Kind
	for _, a := range s.alerts {
		kinds = append(kinds, a.Kind)
	}
	if !slices.Equal(kinds, want) {
		s.t.Errorf("alerts %v, want %v: %+v", kinds, want, s.alerts)
	}
	got := s.alerts
	s.alerts = nil
	for len(got) < len(want) {
		got = append(got, Alert{})
	}
	return got
}

// inForce wants a serial in force.
func (s *stand) inForce(serial int64) {
	s.t.Helper()
	live := s.desk.Live()
	if live == nil || live.Publication.Serial != serial || live.Rulebook.(*book).serial != serial {
		s.t.Errorf("in force is %+v, want %d", live, serial)
	}
}

func (s *stand) write(name, text string) { write(s.t, filepath.Join(s.dir, name), text) }

// started is a stand on a folder with one publication, in force.
func started(t *testing.T) *stand {
	t.Helper()
	s := newStand(t, newFolder(t), nil)
	publish(t, s.dir, "first")
	if err := s.desk.Start(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.inForce(1)
	s.asked = 0
	return s.run()
}

func TestAChangeComesIntoForce(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	t.Run("", func(t *testing.T) {
		s := started(t)
		s.looks(5)
		s.heard()
		s.write("base/params.yaml", "standoff: 45 ft\n")
		s.looks(1)
		s.heard() // it may be half copied
		s.looks(1)
		if a := s.heard(Unpublished)[0]; !strings.Contains(a.Say, "changed and not published") || a.Hint == "" {
			t.Errorf("%+v", a)
		}
		s.write("base/params.yaml", "standoff: 46 ft\n")
		s.looks(5)
		s.heard() // still the same trouble
		s.inForce(1)
		p := publish(t, s.dir, "more room at the bridge")
		s.looks(1)
		s.inForce(1)
		s.looks(1)
		s.inForce(2)
		a := s.heard(Mended, InForce)
		if a[0].Over == nil || a[0].Over.Kind != Unpublished {
			t.Errorf("%+v", a[0])
		}
		if say := a[1].Say; !strings.Contains(say, "Alma Ruiz") || !strings.Contains(say, "more room at the bridge") {
			t.Error(say)
		}
		if len(s.recorded) != 2 || !s.recorded[1].Same(p) {
			t.Errorf("recorded: %+v", s.recorded)
		}
		s.looks(5)
		if s.heard(); s.asked != 1 {
			t.Errorf("the loader was asked %d times", s.asked)
		}
	})
}

func TestARefusedChangeLeavesTheOldInForce(t *testing.T) {
	s := started(t)
	s.write("local/us-va/overlay.yaml", "fine\nBAD\n")
	publish(t, s.dir, "a slip")
	s.looks(4)
	a := s.heard(Refused)[0]
	want := Fault{File: "local/us-va/overlay.yaml", Line: 2, Say: "BAD is no word", Hint: "take it out"}
	if len(a.Faults) != 1 || a.Faults[0] != want || a.Hint != "take it out" || a.Publication.Serial != 2 ||
		!strings.Contains(a.Say, "Publication 2 by Alma Ruiz is not used: local/us-va/overlay.yaml:2: BAD") {
		t.Errorf("%+v", a)
	}
	s.inForce(1)
	s.write("local/us-va/overlay.yaml", "fine\nBAD again\n")
	publish(t, s.dir, "another slip")
	s.looks(4)
	if a := s.heard(Refused)[0]; a.Publication.Serial != 3 {
		t.Errorf("%+v", a)
	}
	s.inForce(1)
	s.write("local/us-va/overlay.yaml", "fine\n")
	publish(t, s.dir, "right now")
	s.looks(2)
	if a := s.heard(Mended, InForce)[0]; a.Over == nil || a.Over.Publication.Serial != 3 {
		t.Errorf("%+v", a)
	}
	s.inForce(4)
}

// What was refused once is looked at again, seldom, and without another alert:
// the machine may only have been too busy.
func TestARefusedChangeIsTriedAgain(t *testing.T) {
	s := started(t)
	s.accept = func(context.Context, Candidate) (engine.Rulebook, error) { return nil, refuse("too busy") }
	publish(t, s.dir, "second")
	s.looks(2)
	s.heard(Refused)
	s.looks(19) // 57 s
	if s.asked != 1 {
		t.Errorf("asked %d times in the first minute", s.asked)
	}
	s.looks(1)
	if s.heard(); s.asked != 2 {
		t.Errorf("asked %d times after a minute", s.asked)
	}
	s.looks(3600 / 3)
	if s.heard(); s.asked < 5 || s.asked > 8 {
		t.Errorf("asked %d times in an hour", s.asked)
	}
	s.accept = nil
	s.looks(3600 / 3)
	s.heard(Mended, InForce)
	s.inForce(2)
}

func TestEveryKindOfNoFromTheLoader(t *testing.T) {
	for name, c := range map[string]struct {
		accept func(context.Context, Candidate) (engine.Rulebook, error)
		say    string
	}{
		"an error":   {func(context.Context, Candidate) (engine.Rulebook, error) { return &book{2}, errors.New("no") }, "no"},
		"a panic":    {func(context.Context, Candidate) (engine.Rulebook, error) { panic("oh") }, "could not be looked at"},
		"nothing":    {func(context.Context, Candidate) (engine.Rulebook, error) { return nil, nil }, "without any being there"},
		"no time":    {func(ctx context.Context, _ Candidate) (engine.Rulebook, error) { <-ctx.Done(); return nil, ctx.Err() }, "deadline"},
		"a late yes": {func(ctx context.Context, _ Candidate) (engine.Rulebook, error) { <-ctx.Done(); return &book{2}, nil }, "within 30ms"},
	} {
		t.Run(name, func(t *testing.T) {
			s := newStand(t, newFolder(t), func(c *Config) { c.Patience = 30 * time.Millisecond })
			publish(t, s.dir, "first")
			if err := s.desk.Start(t.Context()); err != nil {
				t.Fatal(err)
			}
			s.run()
			s.accept = c.accept
			publish(t, s.dir, "second")
			s.looks(3)
			if a := s.heard(Refused)[0]; !strings.Contains(a.Say, c.say) {
				t.Errorf("%+v", a)
			}
			s.inForce(1)
			if len(s.recorded) != 1 {
				t.Errorf("recorded: %+v", s.recorded)
			}
		})
	}
}

func TestWhatCannotBeRecordedDoesNotHold(t *testing.T) {
	s := started(t)
	s.record = errors.New("the ledger has stopped")
	publish(t, s.dir, "second")
	s.looks(3)
	if a := s.heard(Refused)[0]; !strings.Contains(a.Say, "the ledger has stopped") {
		t.Errorf("%+v", a)
	}
	s.inForce(1)
	s.record = nil
	s.looks(25)
	s.heard(Mended, InForce)
	s.inForce(2)
}

// Nobody brings old rules back by putting old files there, nor slips other files
// under a serial that was in force.
func TestOlderRulesStayOut(t *testing.T) {
	s := started(t)
	write(t, filepath.Join(s.dir, "base/params.yaml"), "standoff: 45 ft\n")
	publish(t, s.dir, "more room")
	s.looks(2)
	s.heard(InForce)
	first, err := Kept(s.dir, 1)
	if err != nil {
		t.Fatal(err)
	}
	if err := Lay(s.dir, first); err != nil {
		t.Fatal(err)
	}
	forge(t, s.dir, first.Publication)
	s.looks(3)
	if a := s.heard(Refused)[0]; !strings.Contains(a.Say, "older than 2") || !strings.Contains(a.Hint, "rollback") {
		t.Errorf("%+v", a)
	}
	again := first.Publication
	again.Serial = 2
	forge(t, s.dir, again)
	s.looks(3)
	if a := s.heard(Refused)[0]; !strings.Contains(a.Say, "publication 2 is in use with other files") {
		t.Errorf("%+v", a)
	}
	s.inForce(2)
	if s.asked != 1 {
		t.Errorf("the loader was asked %d times", s.asked)
	}
	if _, err := Rollback(s.dir, 1, "Alma Ruiz", "the bridge is done", noon); err != nil {
		t.Fatal(err)
	}
	s.looks(2)
	if say := s.heard(Mended, InForce)[1].Say; !strings.Contains(say, "the files of 1 again") {
		t.Error(say)
	}
	s.inForce(3)
}

// forge writes publication.json past all rules.
func forge(t testing.TB, dir string, p Publication) {
	t.Helper()
	raw, err := p.encode()
	if err != nil {
		t.Fatal(err)
	}
	if err := Replace(filepath.Join(dir, publicationName), raw); err != nil {
		t.Fatal(err)
	}
}

func TestAFolderThatIsAway(t *testing.T) {
	s := started(t)
	away := s.dir + "-away"
	if err := os.Rename(s.dir, away); err != nil {
		t.Fatal(err)
	}
	s.looks(5)
	s.heard(Unreadable)
	s.inForce(1)
	if err := os.Rename(away, s.dir); err != nil {
		t.Fatal(err)
	}
	s.looks(2)
	s.heard(Mended)
	s.write("ground/metal.rego", "x")
	s.looks(3)
	if a := s.heard(Unreadable)[0]; len(a.Faults) != 1 || a.Faults[0].File != "ground" {
		t.Errorf("%+v", a)
	}
	s.inForce(1)
}

// restless gives something else at every look.
type restless struct {
	Folder
	n int
}

func (r *restless) Read(context.Context) (Candidate, error) {
	r.n++
	return Candidate{Sum: fmt.Sprint(r.n), Published: true, Publication: Publication{Serial: int64(r.n)}}, nil
}

// panicky fails while it reads.
type panicky struct{ Folder }

func (panicky) Read(context.Context) (Candidate, error) { panic("oh") }

func TestSourcesThatBehaveBadly(t *testing.T) {
	dir := newFolder(t)
	publish(t, dir, "first")
	s := newStand(t, dir, func(c *Config) { c.Source = &restless{Folder: Folder(dir)} })
	if err := s.desk.Start(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.run().looks(10)
	if s.heard(); s.asked != 1 {
		t.Errorf("what does not hold still was looked at %d times", s.asked-1)
	}
	s = newStand(t, dir, func(c *Config) { c.Source = panicky{Folder(dir)} })
	if err := s.desk.Start(t.Context()); err != nil {
		t.Fatal(err)
	}
	s.run().looks(3)
	s.heard(Unreadable)
	s.inForce(1)
}

func TestStart(t *testing.T) {
	t.Run("nothing was published", func(t *testing.T) {
		s := newStand(t, newFolder(t), nil)
		fails(t, s.desk.Start(t.Context()), engine.Rules, "nothing has been published")
		if s.desk.Live() != nil {
			t.Error("something is in force")
		}
	})
	t.Run("in the middle of a change", func(t *testing.T) {
		s := newStand(t, newFolder(t), nil)
		publish(t, s.dir, "first")
		s.write("base/params.yaml", "BAD")
		if err := s.desk.Start(t.Context()); err != nil {
			t.Fatal(err)
		}
		s.inForce(1)
		s.run().looks(2)
		s.heard(Unpublished)
	})
	t.Run("without the copy", func(t *testing.T) {
		s := newStand(t, newFolder(t), nil)
		publish(t, s.dir, "first")
		if err := os.RemoveAll(filepath.Join(s.dir, history)); err != nil {
			t.Fatal(err)
		}
		if err := s.desk.Start(t.Context()); err != nil {
			t.Fatal(err)
		}
		s.inForce(1)
	})
	t.Run("with a refused set", func(t *testing.T) {
		s := newStand(t, newFolder(t), nil)
		s.write("base/params.yaml", "BAD")
		publish(t, s.dir, "first")
		fails(t, s.desk.Start(t.Context()), engine.Rules, "BAD is no word")
		if s.desk.Live() != nil || len(s.recorded) > 0 {
			t.Error("something is in force")
		}
	})
	t.Run("older than the ledger knows", func(t *testing.T) {
		dir := newFolder(t)
		publish(t, dir, "first")
		s := newStand(t, dir, func(c *Config) { c.Last = Publication{Serial: 2} })
		fails(t, s.desk.Start(t.Context()), engine.Rules, "older than 2")
	})
	t.Run("as the ledger knows it", func(t *testing.T) {
		dir := newFolder(t)
		p := publish(t, dir, "first")
		s := newStand(t, dir, func(c *Config) { c.Last = p })
		if err := s.desk.Start(t.Context()); err != nil || len(s.recorded) != 0 {
			t.Errorf("%v; recorded again: %v", err, s.recorded)
		}
	})
	t.Run("on other rules", func(t *testing.T) {
		dir := newFolder(t)
		s := newStand(t, dir, func(c *Config) { c.Live = Live{&book{5}, Publication{Serial: 5}, noon, time.Time{}} })
		s.inForce(5)
		publish(t, dir, "first")
		s.run().looks(3)
		s.heard(Refused)
		s.inForce(5)
	})
	if _, err := New(Config{}); err == nil {
		t.Error("a desk of nothing")
	}
}

// Readers take what is in force while it changes, and never meet a mixture.
func TestReadersWhileRulesChange(t *testing.T) {
	s := started(t)
	ctx, stop := context.WithCancel(context.Background())
	var readers sync.WaitGroup
	for range 4 {
		readers.Go(func() {
			last := int64(0)
			for ctx.Err() == nil {
				live := s.desk.Live()
				if got := live.Rulebook.Places()[1]; got != fmt.Sprint(live.Publication.Serial) || live.Publication.Serial < last {
					t.Errorf("rules of %s under publication %d, after %d", got, live.Publication.Serial, last)
					return
				}
				last = live.Publication.Serial
			}
		})
	}
	for i := range 30 {
		s.write("base/params.yaml", fmt.Sprintf("standoff: %d ft\n", 30+i))
		publish(t, s.dir, "one more")
		s.looks(2)
	}
	stop()
	readers.Wait()
	s.inForce(31)
}

func TestTheRealClock(t *testing.T) {
	defer goleak.VerifyNone(t, goleak.IgnoreCurrent())
	if err := sleep(t.Context(), time.Microsecond); err != nil {
		t.Error(err)
	}
	ctx, stop := context.WithCancel(t.Context())
	stop()
	if err := sleep(ctx, time.Hour); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}
