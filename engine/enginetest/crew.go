package enginetest

import (
	"context"
	"fmt"
	"time"

	"firstrod/engine"
	"firstrod/engine/ledger"
	"firstrod/engine/quantity"
)

// Crew is a simulated crew that answers whatever is asked, as a careful crew on
// good ground would. Say changes single answers; Skip leaves asks out.
type Crew struct {
	Engine *engine.Engine
	Say    map[string]string // ask -> what to type instead of the usual
	Skip   map[string]bool   // asks it never answers

	Jurisdiction string // whose local rules hold on its bores; "": the base alone

	said int
	name string
}

// usual is what a careful crew types, by ask.
func usual(now time.Time, zone *time.Location) map[string]string {
	at := now.In(zone)
	return map[string]string{
		"ticket_number": "OTR-2291", "ticket_first_day": at.AddDate(0, 0, -2).Format(time.DateOnly),
		"ticket_last_day": at.AddDate(0, 0, 9).Format(time.DateOnly),
		"owners_listed":   "7", "owners_answered": "7", "marks_match": "yes", "unmarked_signs": "no",
		"briefing_held": "yes", "strike_alarm_tested": "yes", "remote_stop_tested": "yes", "radio_checked": "yes",
		"overhead_line": "no", "overhead_kv": "50 kV", "overhead_distance": "40 ft",
		"emergency_number": "911", "gas_number": "555-0100", "site_address": "12 Otter Run Road",
		"receiver_serial": "R-114", "transmitter_serial": "T-27", "housing_serial": "H-9", "receiver_linked": "yes",
		"frequencies": "9.5 kHz, 22 kHz", "receiver_full_hours": "20 h", "transmitter_full_hours": "24 h",
		"hours_planned": "10 h", "receiver_charge": "85 %", "transmitter_charge": "90 %",
		"in_housing": "yes", "off_rig": "yes", "housing_on_ground": "H-9", "pitch_first": "0.2 %", "pitch_reversed": "-0.2 %",
		"planned_depth": "14 ft", "planned_length": "240 ft", "grade_wanted": "no", "grade": "-0.4 %", "grade_tolerance": "0.1 %", "pitch_step": "0.1 %",
		"metal_distance": "34 ft", "metal_distance_far": "41 ft",
		"buried_lines": "no", "slab_or_rebar": "no", "power_overhead": "no", "background": "-12 dB", "background_again": "-11 dB", "signal": "60 dB",
		"baseline": "10 ft", "second_tape": "10 ft", "measured_between": "centres", "transmitter_square": "yes", "tape_away": "yes",
		"calibrated_in_one_pass": "yes", "calibrated": "yes", "downhole_power": "normal", "calibrated_power": "normal",
		"near_mark": "5 ft", "far_mark": "15 ft", "reading_view": "calibration",
		"near_reading": "5 ft, 5 ft, 5 ft", "far_reading": "15 ft 1/2 in, 15 ft 1/2 in, 15 ft 1/2 in", "known_depth": "6 ft", "known_reading": "6 ft 1 in",
		"crossings": "gas main", "none_confirmed": "yes", "sewers": "none", "reamer_size": "12 in", "exposed": "yes",
		"line_depth": "6 ft", "line_size": "4 in", "bore_depth": "12 ft", "station": "41 ft", "hand_dug": "5 ft",
		"shift_ends":       at.Add(9 * time.Hour).Format("2006-01-02 3:04 pm"),
		"hold_cleared_how": "looked at it with the foreman", "transmitter_whole": "yes",
		"interference_source": "fence charger, off now", "handover_done": "yes",
		"seen_depth": "6 ft", "seen_reading": "6 ft 1 in",
		"null_spacing": "8 ft", "null_pitch": "0 %", "null_height": "0 ft", "null_reading": "5 ft 8 in",
		// The log of testdata/outside/rod_log.csv, whose last depth is 6.711 ft.
		"rod_length": "10 ft", "rod_entry_pitch": "-20 %", "rod_pitches": "-20 -16 -12 -8 -4 0 0 4 %", "rod_start": "0 ft",
		"rod_reading": "6 ft 9 in",
		// What the packs of Virginia and its county ask besides.
		"stake_distance": "30 ft", "stake_line": "4 in", "rated_depth": "50 ft", "parallel_lines": "no", "parallel_seen": "yes",
		"hole_depth": "13 ft", "hole_reading": "6 ft", "hole_bottom": "13 ft", "head_in_sight": "yes", "head_at_ends": "yes",
		"permit_last_day": at.AddDate(0, 0, 30).Format(time.DateOnly),
		"line_damaged":    "no", "damage_told": "yes", "holes_closed": "yes",
	}
}

// Said is what a turn of this crew has in common, with a key of its own.
func (c *Crew) Said(by ledger.Actor) engine.Said {
	c.said++
	return engine.Said{By: by, From: "test", Lang: "en", Key: fmt.Sprintf("%s/%d", c.name, c.said)}
}

// Open opens a bore and introduces the two people that work on it.
func (c *Crew) Open(ctx context.Context, bore string) (hand, operator ledger.Actor, err error) {
	c.name = bore
	hand, err = c.introduce(ctx, "Dana "+bore, engine.RoleLocatingHand)
	if err != nil {
		return hand, operator, err
	}
	operator, err = c.introduce(ctx, "Luis "+bore, engine.RoleDrillOperator)
	if err != nil {
		return hand, operator, err
	}
	_, err = c.Engine.Open(ctx, c.Said(hand), engine.Opening{Jurisdiction: c.Jurisdiction, Name: bore, Place: "Otter Run", Zone: "America/Phoenix"})
	return hand, operator, err
}

func (c *Crew) introduce(ctx context.Context, name, role string) (ledger.Actor, error) {
	p, err := c.Engine.Introduce(ctx, c.Said(ledger.Actor{}), name, role)
	return ledger.Actor{ID: p.ID, Role: role}, err
}

// Step answers the next question in front of a gate. more is false when none is
// left, or only questions that the crew will not answer or answers wrongly.
func (c *Crew) Step(ctx context.Context, bore string, by ledger.Actor, gate engine.Gate) (more bool, err error) {
	board, err := c.Engine.Board(ctx, bore)
	if err != nil {
		return false, err
	}
	later := map[string]bool{}
	for _, f := range board.Findings {
		later[f.Key()] = f.Status == engine.Fail
	}
	for {
		q, ok := board.Next(gate, later)
		if !ok || q.Again {
			return false, nil
		}
		answers, err := c.answers(&board, q)
		if err != nil {
			return false, err
		}
		if len(answers) > 0 {
			_, err = c.Engine.Answer(ctx, bore, c.Said(by), answers...)
			return err == nil, err
		}
		if later[q.Finding] {
			return false, nil
		}
		later[q.Finding] = true
	}
}

func (c *Crew) answers(board *engine.Board, q *engine.Question) ([]engine.Answer, error) {
	words := usual(board.At, board.Zone)
	for ask, text := range c.Say {
		words[ask] = text
	}
	var all []engine.Answer
	for _, a := range q.Asks {
		if c.Skip[a.ID] {
			continue
		}
		got := quantity.Read(words[a.ID], Want(a, board))
		if got.Outcome != quantity.Exact {
			return nil, fmt.Errorf("the crew's answer to %s, %q, is not read: %s", a.ID, words[a.ID], got.Reason.Code)
		}
		all = append(all, engine.Answer{Key: engine.Key(a.ID, q.Subject), Value: got.Value, Typed: words[a.ID]})
	}
	return all, nil
}

// Read reads an answer in words.
func Read(text string, a *engine.Ask, board *engine.Board) quantity.Reading {
	return quantity.Read(text, Want(a, board))
}

// Want is what quantity needs to know to read the answer to an ask.
func Want(a *engine.Ask, board *engine.Board) quantity.Want {
	w := quantity.Want{Kind: a.Kind, Unit: a.Unit, Min: a.Min, Max: a.Max, Soft: a.Soft, Zone: board.Zone, Now: board.At}
	for _, o := range a.Options {
		w.Options = append(w.Options, quantity.Option{ID: o.ID, Words: o.Words})
	}
	return w
}

// AnswerAll answers until nothing is left to answer in front of a gate.
func (c *Crew) AnswerAll(ctx context.Context, bore string, by ledger.Actor, gate engine.Gate) error {
	for range 200 {
		more, err := c.Step(ctx, bore, by, gate)
		if err != nil || !more {
			return err
		}
	}
	return fmt.Errorf("bore %s asks without end", bore)
}

// Release opens a bore, answers everything, and signs as two people.
func (c *Crew) Release(ctx context.Context, bore string) (engine.Turn, error) {
	hand, operator, err := c.Open(ctx, bore)
	if err != nil {
		return engine.Turn{}, err
	}
	if err := c.AnswerAll(ctx, bore, hand, engine.GateRelease); err != nil {
		return engine.Turn{}, err
	}
	return c.Sign(ctx, bore, hand, operator)
}

// Sign signs as each of some people in turn.
func (c *Crew) Sign(ctx context.Context, bore string, people ...ledger.Actor) (t engine.Turn, err error) {
	for _, by := range people {
		if t, err = c.Engine.Sign(ctx, bore, c.Said(by)); err != nil {
			return t, err
		}
	}
	return t, nil
}
