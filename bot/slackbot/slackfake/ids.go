package slackfake

import "strings"

// id makes an identifier no other object has. The lock is held.
func (s *Server) id(prefix string) string {
	s.serial++
	digits := []byte("000000000")
	for n, i := s.serial, len(digits)-1; n > 0 && i >= 0; n, i = n/36, i-1 {
		digits[i] = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ"[n%36]
	}
	return prefix + string(digits)
}

// has tells whether any of the scopes was granted. The lock is held.
func (s *Server) has(scopes ...string) bool {
	for _, want := range scopes {
		for _, got := range s.cfg.Scopes {
			if strings.EqualFold(want, got) {
				return true
			}
		}
	}
	return len(scopes) == 0
}
