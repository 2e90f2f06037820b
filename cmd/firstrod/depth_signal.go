package main

import (
	"github.com/spf13/cobra"

	"firstrod/engine/depth"
)

// signalJSON is a signal to expect in JSON. The margin and the errors stand only
// beside a background; an error is null where there is no bound.
type signalJSON struct {
	Signal     float64  `json:"signal"` // dB
	Change     float64  `json:"change"` // dB, against the baseline
	Background *float64 `json:"background,omitempty"`
	Margin     *float64 `json:"margin,omitempty"`
	Incoherent *float64 `json:"error_incoherent,omitempty"` // share of depth
	InPhase    *float64 `json:"error_in_phase,omitempty"`
	OutOfPhase *float64 `json:"error_out_of_phase,omitempty"`
}

// signalAsk is what the signal is to be worked out from.
type signalAsk struct {
	signal, baseline, depth float64
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
transmitter's own.`,
		RunE: func(cmd *cobra.Command, _ []string) error {
			l := lengthsOf(cmd.Flags())
			ask := signalAsk{baseline: l.need("baseline"), depth: l.need("depth")}
			if l.err != nil {
				return l.err
			}
			var err error
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
	return a.jsonFlag(cmd)
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
	if ask.background != nil {
		m, err := depth.Margin(ask.signal, ask.baseline, *ask.background, ask.depth)
		if err != nil {
			return l.refused(err, names)
		}
		j.Background, j.Margin = ask.background, &m
		j.Incoherent = noiseError(m, depth.Incoherent)
		j.InPhase, j.OutOfPhase = noiseError(m, depth.InPhase), noiseError(m, depth.OutOfPhase)
	}
	if a.json {
		return a.printJSON(j)
	}
	a.printf("%.1f dB to expect at %s, %+.1f dB against the baseline\n", j.Signal, l.say(ask.depth), j.Change)
	if j.Margin != nil {
		a.printf("%+.1f dB over the background, which can move the depth by %s as ordinary noise, at worst by %s\n",
			*j.Margin, noiseShown(j.Incoherent), noiseShown(j.OutOfPhase))
	}
	return nil
}

// noiseError is nil where the background can do anything to the reading, or the
// margin is beyond what any receiver tells apart.
func noiseError(margin float64, how depth.Adding) *float64 {
	e, err := depth.NoiseError(margin, how)
	if err != nil {
		return nil
	}
	return &e
}

func noiseShown(e *float64) string {
	if e == nil {
		return "any amount"
	}
	return percentUp(*e)
}
