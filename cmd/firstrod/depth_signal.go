package main

import (
	"math"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"firstrod/engine/depth"
)

// signalJSON is a signal to expect in JSON. The margin and the errors stand only
// beside a background; an error is null where there is no bound.
type signalJSON struct {
	Signal float64 `json:"signal"` // dB
	Change float64 `json:"change"` // dB, against the baseline
	// Depth that a receiver shows there, in the unit of --depth, where --ahead, --aside
	// or --pitch is given: one that measures the whole field, and one with a single
	// antenna along the bore, null at an axial null.
	Reads      *float64 `json:"reads,omitempty"`
	ReadsAxis  *float64 `json:"reads_axis,omitempty"`
	Background *float64 `json:"background,omitempty"`
	Margin     *float64 `json:"margin,omitempty"`
	Incoherent *float64 `json:"error_incoherent,omitempty"` // share of depth
	InPhase    *float64 `json:"error_in_phase,omitempty"`
	OutOfPhase *float64 `json:"error_out_of_phase,omitempty"`
}

// signalAsk is what the signal is to be worked out from.
type signalAsk struct {
	signal, baseline, depth float64
	off                     bool // not right above a level transmitter
	ahead, aside, pitch     float64
	background              *float64
}

func (a *app) depthSignal() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "signal",
		Short: "Signal to expect at a depth, and its margin over the background",
		Long: `signal gives the signal in dB directly above a level transmitter at --depth, from
the --signal read at the --baseline. With --background, read with the
transmitter off, it gives the margin, and by how much the background alone can
move the depth: as ordinary noise, and at worst, as a tone against the
transmitter's own.

With --ahead and --aside (from the point above the transmitter, along the bore and
to the side) or --pitch it is the signal there, and the depth that a receiver shows
there: one that measures the whole field, and one with a single antenna along the
bore.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			l := lengthsOf(cmd.Flags())
			ask := signalAsk{baseline: l.need("baseline"), depth: l.need("depth")}
			if l.err != nil {
				return l.err
			}
			var err error
			if ask.ahead, ask.aside, ask.pitch, ask.off, err = offPoint(cmd.Flags(), l); err != nil {
				return err
			}
			if ask.signal, _, err = numberFlag(cmd.Flags(), "signal", "dB"); err != nil {
				return err
			}
			if cmd.Flags().Changed("background") {
				b, _, err := numberFlag(cmd.Flags(), "background", "dB")
				if err != nil {
					return err
				}
				ask.background = &b
			}
			return a.runSignal(l, ask)
		},
	}
	f := cmd.Flags()
	f.String("signal", "", `signal at the baseline: "72 dB"`)
	f.String("baseline", "", "distance at which it was read")
	f.String("depth", "", "depth to foretell it at")
	f.String("background", "", "highest background with the transmitter off, in dB on the same scale")
	f.String("ahead", "", "how far ahead of the point above the transmitter, along the bore; minus for behind")
	f.String("aside", "", "how far to the side of it")
	f.String("pitch", "", `pitch of the transmitter in percent, nose up positive: "10 %"`)
	return a.jsonFlag(cmd)
}

// offPoint is where the receiver stands, and how the transmitter lies; off is false
// where nothing of that is given.
func offPoint(flags *pflag.FlagSet, l *lengths) (ahead, aside, pitch float64, off bool, err error) {
	var withAhead, withAside bool
	ahead, withAhead = l.may("ahead")
	aside, withAside = l.may("aside")
	if l.err != nil {
		return 0, 0, 0, false, l.err
	}
	withPitch := flags.Changed("pitch")
	if withPitch {
		pitch, err = pitchFlag(flags, "pitch")
	}
	return ahead, aside, pitch, withAhead || withAside || withPitch, err
}

func (a *app) runSignal(l *lengths, ask signalAsk) error {
	names := map[string]string{
		"signalAtBaseline": "--signal", "baseline": "--baseline", "depth": "--depth", "background": "--background",
	}
	s, err := depth.SignalAt(ask.signal, ask.baseline, ask.depth)
	if err != nil {
		return l.refused(err, names)
	}
	j := signalJSON{Signal: s, Change: s - ask.signal}
	if ask.off {
		if err := j.move(l, ask); err != nil {
			return err
		}
	}
	if ask.background != nil {
		m := j.Signal - *ask.background // of the signal as it is where the receiver stands
		if _, err := depth.Margin(ask.signal, ask.baseline, *ask.background, ask.depth); err != nil {
			return l.refused(err, names)
		}
		j.Background, j.Margin = ask.background, &m
		if err := j.noise(); err != nil {
			return l.refused(err, map[string]string{"margin": "--background: the margin"})
		}
	}
	if a.json {
		return a.printJSON(j)
	}
	a.printf("%.1f dB to expect at %s, %+.1f dB against the baseline\n", j.Signal, l.say(ask.depth), j.Change)
	if j.Reads != nil {
		axis := "nothing"
		if j.ReadsAxis != nil {
			axis = l.say(*j.ReadsAxis*l.size, ask.depth)
		}
		a.printf("a receiver there shows %s, one with a single antenna along the bore %s\n", l.say(*j.Reads*l.size, ask.depth), axis)
	}
	if j.Margin != nil {
		a.printf("%+.1f dB over the background, which can move the depth by %s as ordinary noise, at worst by %s\n",
			*j.Margin, noiseShown(j.Incoherent), noiseShown(j.OutOfPhase))
	}
	return nil
}

// move takes the signal to where the receiver stands.
func (j *signalJSON) move(l *lengths, ask signalAsk) error {
	s, err := depth.Over(ask.ahead, ask.aside, ask.depth, ask.pitch)
	if err != nil {
		return l.refused(err, map[string]string{"x": "--ahead", "y": "--aside", "below": "--depth", "pitch": "--pitch"})
	}
	change := 20 * math.Log10(s.Total)
	j.Signal, j.Change = j.Signal+change, j.Change+change
	reads := l.out(s.Depth)
	j.Reads = &reads
	if axis, err := s.AxialDepth(); err == nil {
		axis = l.out(axis)
		j.ReadsAxis = &axis
	}
	return nil
}

// noise is what the background can do; nil against the signal where it is as loud as
// the signal, since it may then leave nothing of it.
func (j *signalJSON) noise() error {
	incoherent, err := depth.NoiseError(*j.Margin, depth.Incoherent)
	if err != nil {
		return err
	}
	in, err := depth.NoiseError(*j.Margin, depth.InPhase)
	if err != nil {
		return err
	}
	j.Incoherent, j.InPhase = &incoherent, &in
	if out, err := depth.NoiseError(*j.Margin, depth.OutOfPhase); err == nil {
		j.OutOfPhase = &out
	}
	return nil
}

func noiseShown(e *float64) string {
	if e == nil {
		return "any amount"
	}
	return percentUp(*e)
}
