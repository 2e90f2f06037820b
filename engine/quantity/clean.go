package quantity

import (
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// The longest texts: a message in bytes, the others in characters.
const (
	maxMessage = 4096
	maxText    = 200
	maxName    = 60
	maxSerial  = 40
)

// checkText refuses what is not plain text: too long, not UTF-8, or with a
// control or invisible character other than tab and line ends. An invisible
// character could make the record show another text than was compared.
func checkText(s string) *Reason {
	if len(s) > maxMessage {
		return because(TooLong, "most", strconv.Itoa(maxMessage))
	}
	if !utf8.ValidString(s) {
		return because(NotUTF8)
	}
	for _, r := range s {
		if strings.ContainsRune("\n\r\t", r) {
			continue
		}
		if unicode.In(r, unicode.Cc, unicode.Cf, unicode.Co, unicode.Zl, unicode.Zp) {
			return because(Hidden, "char", fmt.Sprintf("U+%04X", r))
		}
	}
	if strings.TrimSpace(s) == "" {
		return because(Empty)
	}
	return nil
}

// plainSpace makes every run of spaces, tabs and line ends one space.
func plainSpace(s string) string { return strings.Join(strings.Fields(s), " ") }

// fold makes texts comparable: lower case, no accents, plain spaces, and no
// full stop or exclamation mark at the end.
func fold(s string) string {
	var b strings.Builder
	for _, r := range strings.ToLower(s) {
		if !unicode.Is(unicode.Mn, r) {
			b.WriteRune(unaccented(r))
		}
	}
	return strings.TrimSpace(strings.TrimRight(plainSpace(b.String()), ".! "))
}

// unaccented covers the letters of Spanish and French, the languages of North
// American crews; other letters stay as they are.
func unaccented(r rune) rune {
	switch r {
	case 'á', 'à', 'â', 'ä':
		return 'a'
	case 'é', 'è', 'ê', 'ë':
		return 'e'
	case 'í', 'ì', 'î', 'ï':
		return 'i'
	case 'ó', 'ò', 'ô', 'ö':
		return 'o'
	case 'ú', 'ù', 'û', 'ü':
		return 'u'
	case 'ñ':
		return 'n'
	case 'ç':
		return 'c'
	default:
		return r
	}
}

// straight writes a measure with the plainest signs: ASCII quotes, hyphen and
// slash, a fraction sign as "1/2", an inch mark for two apostrophes, one space
// for any. Case is kept: mV and MV are a thousand million apart.
func straight(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case strings.ContainsRune("’‘′´`ʹʼ", r):
			b.WriteByte('\'')
		case strings.ContainsRune("“”″˝„‟ʺ", r):
			b.WriteByte('"')
		case strings.ContainsRune("−–—‐‑", r):
			b.WriteByte('-')
		case r == '⁄' || r == '∕':
			b.WriteByte('/')
		case fraction(r) != "":
			b.WriteString(" " + fraction(r) + " ")
		default:
			b.WriteRune(r)
		}
	}
	out := strings.ReplaceAll(b.String(), "''", `"`)
	return strings.TrimRight(plainSpace(out), "!")
}

// fraction spells a fraction sign, "" for any other character.
func fraction(r rune) string {
	switch r {
	case '½':
		return "1/2"
	case '¼':
		return "1/4"
	case '¾':
		return "3/4"
	case '⅛':
		return "1/8"
	case '⅜':
		return "3/8"
	case '⅝':
		return "5/8"
	case '⅞':
		return "7/8"
	case '⅓':
		return "1/3"
	case '⅔':
		return "2/3"
	default:
		return ""
	}
}

// cleanText is the form of s that a value of kind k (a written kind) holds.
func cleanText(k Kind, s string) (string, *Reason) {
	if bad := checkText(s); bad != nil {
		return "", bad
	}
	if k == Serial {
		return cleanSerial(s)
	}
	s = plainSpace(s)
	if utf8.RuneCountInString(s) > maxText {
		return "", because(TextLength, "most", strconv.Itoa(maxText))
	}
	for _, r := range s {
		if !unicode.IsPrint(r) {
			return "", because(TextSigns, "char", fmt.Sprintf("U+%04X", r))
		}
	}
	return s, nil
}

// cleanSerial makes numbers read off gear comparable.
func cleanSerial(s string) (string, *Reason) {
	s = strings.ToUpper(strings.Join(strings.Fields(s), ""))
	if len(s) > maxSerial {
		return "", because(SerialLength, "most", strconv.Itoa(maxSerial))
	}
	plain := false
	for _, r := range s {
		alphanumeric := r >= 'A' && r <= 'Z' || r >= '0' && r <= '9'
		plain = plain || alphanumeric
		if !alphanumeric && !strings.ContainsRune("-/.", r) {
			return "", because(SerialSigns, "char", string(r))
		}
	}
	if !plain {
		return "", because(SerialSigns, "char", s)
	}
	return s, nil
}

func nameLength(s string) bool { return utf8.RuneCountInString(s) <= maxName }
