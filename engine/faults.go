package engine

import (
	"slices"
	"strings"
)

// fault is what a person can be told and can mend.
type fault struct {
	kind      Failure
	say, hint string
}

// faults lists every sentence that a crew may meet from the engine, by id.
// Words in braces are filled in. Other languages key their own words by id.
var faults = map[string]fault{
	"bore_unknown":      {NotFound, "There is no bore {bore}.", "Type the name again, or open a new one."},
	"bore_known":        {Conflict, "There is a bore {bore} already.", "Go on with it, or take another name."},
	"bore_racing":       {Conflict, "Somebody else is opening bore {bore}.", "Say it again."},
	"bore_name":         {Usage, "A bore's name is up to 40 letters, digits, - and .", "For example: OR-4"},
	"bore_closed":       {Forbidden, "Bore {bore} is closed; its record is finished.", "Open a new bore."},
	"bore_moved":        {Conflict, "Somebody else moved bore {bore} on at the same moment.", "Say it again."},
	"zone_unknown":      {Usage, "The time zone {zone} is not known.", "For example: America/Chicago"},
	"nothing_given":     {Usage, "Nothing was given.", ""},
	"not_your_ask":      {Forbidden, "That is not for this role to say: {ask}.", "Let the right person say it."},
	"ask_unknown":       {Usage, "No rule asks for {ask}.", ""},
	"ask_kind":          {Usage, "{ask} wants another kind of value.", ""},
	"ask_subject":       {Usage, "{ask} is about something this bore does not have.", ""},
	"ask_range":         {Usage, "{ask} is out of the range that can be true.", "Look again and say it again."},
	"ask_choice":        {Usage, "{value} is not one of the choices for {ask}.", ""},
	"event_unknown":     {Usage, "That is not something to report: {event}.", ""},
	"hold_reason":       {Usage, "The bore is held. Nothing was said of why.", "Say what was seen, in a few words."},
	"hold_explained":    {Usage, "No hold is waiting for a reason.", "Type: hold, and why."},
	"nothing_to_undo":   {Usage, "There is no answer to take back.", ""},
	"rule_unknown":      {NotFound, "There is no rule {rule} on this bore.", ""},
	"rule_holds":        {Usage, "Only a rule that does not hold can be waived.", ""},
	"waive_reason":      {Usage, "A waiver needs a reason.", "Type: waive, the rule, and why."},
	"waive_never":       {Forbidden, "This rule cannot be waived by anybody: {rule}.", "Make it hold."},
	"waive_role":        {Forbidden, "Only a safety manager can waive a rule.", "Call the safety manager."},
	"closing_open":      {Blocked, "The closing rules do not hold yet.", "Answer what is asked first."},
	"released":          {Usage, "This bore is released already.", ""},
	"signed_already":    {Forbidden, "You have signed this board already; nobody signs twice or in two roles.", "A second person in another role signs."},
	"role_signed":       {Forbidden, "Somebody has signed in that role already.", "The second signature comes from another role."},
	"sign_blocked":      {Blocked, "Rules that do not hold: {n}. Nobody can sign yet.", "Type status to see them."},
	"no_end":            {Blocked, "Nothing says how long this release would hold.", "Give the end of the shift."},
	"rules_older":       {Rules, "These rules are publication {is}; the ledger has been judged by publication {was}.", "Name the folder they were published in with --policies, or publish these again: firstrod rules publish"},
	"role_unknown":      {Usage, "There is no role {role}.", ""},
	"jurisdiction_form": {Usage, "{code} is no place that rules can hold in.", "A state as ISO 3166 writes it, and a county behind it: US-VA, US-VA/alder"},
	"jurisdiction_same": {Usage, "The bore is in {code} already.", ""},
}

// FaultIDs lists the ids of every sentence that a crew may meet, so that a
// front end can prove that it has words for each.
func FaultIDs() []string {
	ids := make([]string, 0, len(faults))
	for id := range faults {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	return ids
}

// failure makes the error for an id; args are names and values in turn.
func failure(id string, args ...string) *Error {
	f := faults[id]
	e := &Error{Kind: f.kind, Say: f.say, Hint: f.hint, ID: id, Args: map[string]string{}}
	for i := 0; i+1 < len(args); i += 2 {
		e.Args[args[i]] = args[i+1]
		e.Say = strings.ReplaceAll(e.Say, "{"+args[i]+"}", args[i+1])
	}
	return e
}
