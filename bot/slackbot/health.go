package slackbot

import (
	"log/slog"
	"sync"
	"time"
)

// Health is how a service stands, for a person and for a monitor.
type Health struct {
	Alive       time.Time `json:"alive"`       // last sign of life of the connection; zero for none yet
	Connections int       `json:"connections"` // as the chat counts them; more than one: some are ghosts that swallow presses
	Fatal       string    `json:"fatal"`       // why the chat refuses the app; "" when it does not
	Trouble     string    `json:"trouble"`     // the last thing that went wrong since the last success
	Backlog     int       `json:"backlog"`     // messages that wait to be sent
	Dead        int       `json:"dead"`        // messages that could not be sent at all, since the start
}

// health collects signs of life and raises alarms: an alarm is a line of the log
// at the level of an error, once for each change.
type health struct {
	log   *slog.Logger
	clock func() time.Time

	mu    sync.Mutex
	state Health
	fails int // refused openings in a row
}

func newHealth(log *slog.Logger, clock func() time.Time) *health {
	return &health{log: log, clock: clock}
}

func (h *health) now(backlog int) Health {
	h.mu.Lock()
	defer h.mu.Unlock()
	state := h.state
	state.Backlog = backlog
	return state
}

// alive notes a sign of life: bytes that came in.
func (h *health) alive() {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.state.Alive = h.clock()
}

// connected notes a greeting, and how many connections the chat counts.
func (h *health) connected(n, expected int) {
	h.mu.Lock()
	defer h.mu.Unlock()
	was := h.state.Connections
	h.state.Connections, h.state.Fatal, h.state.Trouble, h.state.Alive, h.fails = n, "", "", h.clock(), 0
	if n > expected && n != was {
		h.log.Error("ALARM: the chat counts more connections than there are; some presses will be lost", "connections", n, "expected", expected)
	}
}

// fatal notes that the chat refuses the app until a person mends it.
func (h *health) fatal(what string, err error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	if say := what + ": " + code(err); h.state.Fatal != say {
		h.state.Fatal = say
		h.log.Error("ALARM: the chat refuses the app", "what", what, "error", code(err))
	}
}

// alarmAfter is how many refused openings in a row are an alarm.
const alarmAfter = 3

// refused notes an opening that failed and will be tried again.
func (h *health) refused(err error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.state.Trouble = code(err)
	if h.fails++; h.fails == alarmAfter {
		h.log.Error("ALARM: the chat cannot be reached", "tries", h.fails, "error", code(err))
	}
}

// trouble notes something that went wrong and may mend itself.
func (h *health) trouble(what string, err error) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.state.Trouble = what + ": " + code(err)
	h.log.Warn(what, "error", code(err))
}

// dead notes a message that could not be sent at all.
func (h *health) dead(op, channel, why string) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.state.Dead++
	h.log.Error("a message could not be sent", "kind", op, "channel", channel, "error", why)
}
