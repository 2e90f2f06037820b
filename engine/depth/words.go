package depth

import (
	"fmt"
	"math"
	"strings"
)

// Langs are the languages every sentence exists in.
func Langs() []string { return []string{"en", "es"} }

// CauseIDs are all causes that a [Diagnosis] can name.
func CauseIDs() []CauseID {
	return []CauseID{CauseNone, CauseBaseline, CauseDatum, CauseView, CauseViewAbsorbed, CauseInterference,
		CauseBackground, CauseMetal, CauseGear, CauseTape, CauseAim, CauseSlip, CauseOther}
}

// ExtraIDs are all extra readings that a [Diagnosis] can ask for.
func ExtraIDs() []ExtraID {
	return []ExtraID{ExtraFreshMark, ExtraHistory, ExtraSecondTape, ExtraOtherBand, ExtraBackground, ExtraGround,
		ExtraSquare, ExtraView, ExtraGear, ExtraTypeAgain, ExtraStartOver}
}

// CauseWords is one sentence that says the cause and one that says what to do, for
// the crew. Errors: a [*FieldError] on lang or id if there is no such sentence.
func CauseWords(lang string, id CauseID) (cause, do string, err error) {
	list, ok := causeSentences()[lang]
	if !ok {
		return "", "", &FieldError{"lang", "has no sentences"}
	}
	pair, ok := list[id]
	if !ok {
		return "", "", &FieldError{"id", "is no cause"}
	}
	return pair[0], pair[1], nil
}

// ExtraWords is one sentence that says which extra reading to take. Errors: a
// [*FieldError] on lang or id if there is no such sentence.
func ExtraWords(lang string, id ExtraID) (string, error) {
	list, ok := extraSentences()[lang]
	if !ok {
		return "", &FieldError{"lang", "has no sentences"}
	}
	s, ok := list[id]
	if !ok {
		return "", &FieldError{"id", "is no extra reading"}
	}
	return s, nil
}

// ScatterWords is one sentence that says that readings of one mark differ too much for
// their mean to show anything, and one that says what to do. Errors: a [*FieldError] on
// lang.
func ScatterWords(lang string) (cause, do string, err error) {
	pair, ok := map[string][2]string{
		"en": {"The readings at this mark jump too much to show anything, right or wrong.",
			"Hold the receiver still over the mark, clear of people and metal, and read both marks again; if it still jumps, listen for interference with the transmitter off."},
		"es": {"Las lecturas en esta marca brincan demasiado para mostrar algo, bueno o malo.",
			"Mantén quieto el receptor sobre la marca, lejos de gente y metal, y lee otra vez las dos marcas; si todavía brincan, busca interferencia con el transmisor apagado."},
	}[lang]
	if !ok {
		return "", "", &FieldError{"lang", "has no sentences"}
	}
	return pair[0], pair[1], nil
}

// StandoffWords is one sentence that says what metal at a standoff may do at worst,
// to the far reading and, by way of the calibration, to every depth read later, for the crew and for whoever changes the limit. standoff
// is the distance as the caller shows it ("26 ft"); the shares are rounded up to a
// tenth of a percent. Errors: a [*FieldError] on lang.
func StandoffWords(lang, standoff string, e StandoffEffect) (string, error) {
	form, ok := map[string]string{
		"en": "Metal at %s can move the far reading by up to %s %%, and every later depth by up to %s %%.",
		"es": "Metal a %s puede mover la lectura lejana hasta %s %%, y toda profundidad posterior hasta %s %%.",
	}[lang]
	if !ok {
		return "", &FieldError{"lang", "has no sentences"}
	}
	return fmt.Sprintf(form, standoff, share(e.Far), share(e.Later)), nil
}

// share is a part of one in percent, rounded up to a tenth.
func share(of float64) string {
	// A hair is taken off first, so that 1 % computed as 1.0000000001 stays 1 %.
	tenths := math.Max(1, math.Ceil(of*1000-1e-9)) // metal never does nothing
	return strings.TrimSuffix(fmt.Sprintf("%.1f", tenths/10), ".0")
}

func causeSentences() map[string]map[CauseID][2]string {
	return map[string]map[CauseID][2]string{"en": causesEnglish(), "es": causesSpanish()}
}

func extraSentences() map[string]map[ExtraID]string {
	return map[string]map[ExtraID]string{"en": extrasEnglish(), "es": extrasSpanish()}
}

func causesEnglish() map[CauseID][2]string {
	return map[CauseID][2]string{
		CauseNone: {"The readings agree with the marks as well as tape and display allow.",
			"Change nothing; if a check still stops you, read that mark once more."},
		CauseBaseline: {"Off by the same share at every mark: most likely the baseline was not the length the receiver was told.",
			"Measure the baseline again, centre to centre, calibrate again and read both marks."},
		CauseDatum: {"Off one way near and the other way far: most likely the tape was held at the end of the case, not at the centre mark.",
			"Hold the tape at the centre marks of coil and antenna, calibrate again and read both marks."},
		CauseView: {"Short by a fixed amount, not a share of depth: most likely the receiver is in its walking view, which takes off the height of the antenna.",
			"Go back to the calibration view and read both marks again."},
		CauseViewAbsorbed: {"Short near and long far by like amounts: most likely the receiver was calibrated in its walking view, which takes off the height of the antenna.",
			"Go back to the calibration view, calibrate again and read both marks."},
		CauseInterference: {"Nearly right near and well off far: most likely another source on this frequency is in step with the transmitter.",
			"Find the source and turn it off, or take another frequency, and calibrate again."},
		CauseBackground: {"Right near and short far: most likely the background is too loud on this frequency.",
			"Take a quieter frequency or more power, and calibrate again."},
		CauseMetal: {"The readings bend the way they do with metal: most likely there is a sheet, a slab with steel or a truck at the line.",
			"Move to clear ground, calibrate again and read both marks."},
		CauseGear: {"The marks agree, but the signal at the baseline is not what this pair used to give: most likely the housing, the transmitter or the power is another.",
			"Read the serials and the power setting, and calibrate again with what will go down the hole."},
		CauseTape: {"The marks agree, but the signal at the baseline is off the way it is when the tape itself is long or short.",
			"Measure the baseline and both marks with another tape, and calibrate again if they differ."},
		CauseAim: {"The signal is off the way it is when the transmitter points along the line instead of across it.",
			"Lay the transmitter square to the line, calibrate again and read both marks."},
		CauseSlip: {"What was typed does not fit the marks but would in another unit or with two digits swapped: most likely it was typed wrong.",
			"Read that mark again and type the value with its unit."},
		CauseOther: {"The readings fit nothing that is known to go wrong.",
			"Start over on other ground, and call whoever looks after the gear if it comes out the same."},
	}
}

func causesSpanish() map[CauseID][2]string {
	return map[CauseID][2]string{
		CauseNone: {"Las lecturas cuadran con las marcas hasta donde dan la cinta y la pantalla.",
			"No cambies nada; si una revisión todavía te detiene, lee esa marca una vez más."},
		CauseBaseline: {"Mal por la misma proporción en cada marca: lo más probable es que la línea base no midiera lo que se le dijo al receptor.",
			"Mide otra vez la línea base, de centro a centro, calibra de nuevo y lee las dos marcas."},
		CauseDatum: {"Mal para un lado cerca y para el otro lejos: lo más probable es que la cinta se haya puesto en la punta de la caja y no en la marca del centro.",
			"Pon la cinta en las marcas de centro de la bobina y de la antena, calibra de nuevo y lee las dos marcas."},
		CauseView: {"Corto por una cantidad fija, no por una parte de la profundidad: lo más probable es que el receptor esté en la vista de caminar, que quita la altura de la antena.",
			"Regresa a la vista de calibración y lee otra vez las dos marcas."},
		CauseViewAbsorbed: {"Corto cerca y largo lejos por casi lo mismo: lo más probable es que se haya calibrado en la vista de caminar, que quita la altura de la antena.",
			"Regresa a la vista de calibración, calibra de nuevo y lee las dos marcas."},
		CauseInterference: {"Casi bien cerca y muy mal lejos: lo más probable es que otra fuente en esta frecuencia vaya al paso del transmisor.",
			"Busca la fuente y apágala, o usa otra frecuencia, y calibra de nuevo."},
		CauseBackground: {"Bien cerca y corto lejos: lo más probable es que haya demasiado ruido de fondo en esta frecuencia.",
			"Usa una frecuencia con menos ruido o más potencia, y calibra de nuevo."},
		CauseMetal: {"Las lecturas se doblan como con metal: lo más probable es que haya una lámina, una losa con acero o un camión junto a la línea.",
			"Muévete a terreno libre, calibra de nuevo y lee las dos marcas."},
		CauseGear: {"Las marcas cuadran, pero la señal en la línea base no es la que daba este par: lo más probable es que la carcasa, el transmisor o la potencia sea otra.",
			"Lee los números de serie y la potencia, y calibra de nuevo con lo que va a bajar."},
		CauseTape: {"Las marcas cuadran, pero la señal en la línea base falla como cuando la cinta misma está larga o corta.",
			"Mide la línea base y las dos marcas con otra cinta, y calibra de nuevo si no coinciden."},
		CauseAim: {"La señal falla como cuando el transmisor apunta a lo largo de la línea y no atravesado.",
			"Pon el transmisor a escuadra con la línea, calibra de nuevo y lee las dos marcas."},
		CauseSlip: {"Lo que se escribió no cuadra con las marcas, pero cuadraría en otra unidad o con dos cifras cambiadas: lo más probable es que se haya escrito mal.",
			"Lee otra vez esa marca y escribe el valor con su unidad."},
		CauseOther: {"Las lecturas no cuadran con ninguna falla conocida.",
			"Empieza de nuevo en otro terreno, y si sale igual llama a quien cuida el equipo."},
	}
}

func extrasEnglish() map[ExtraID]string {
	return map[ExtraID]string{
		ExtraFreshMark:  "Lay out a new mark at the length of the baseline with another tape, and read there.",
		ExtraHistory:    "Compare the signal at the baseline with what this pair gave last time.",
		ExtraSecondTape: "Measure the baseline with a second tape, centre to centre.",
		ExtraOtherBand:  "Read both marks on another frequency.",
		ExtraBackground: "Turn the transmitter off and read the background at the far mark.",
		ExtraGround:     "Calibrate and read both marks on other ground, well away from here.",
		ExtraSquare:     "Lay the transmitter square to the line and read the signal at the baseline again.",
		ExtraView:       "Look which view the receiver is in, go to the calibration view and read the near mark again.",
		ExtraGear:       "Read the serials of housing and transmitter and the power setting, and read the signal again.",
		ExtraTypeAgain:  "Read that mark once more and type it with its unit.",
		ExtraStartOver:  "Start over: new baseline, new marks, other ground.",
	}
}

func extrasSpanish() map[ExtraID]string {
	return map[ExtraID]string{
		ExtraFreshMark:  "Pon una marca nueva al largo de la línea base con otra cinta, y lee ahí.",
		ExtraHistory:    "Compara la señal en la línea base con la que dio este par la última vez.",
		ExtraSecondTape: "Mide la línea base con otra cinta, de centro a centro.",
		ExtraOtherBand:  "Lee las dos marcas en otra frecuencia.",
		ExtraBackground: "Apaga el transmisor y lee el ruido de fondo en la marca lejana.",
		ExtraGround:     "Calibra y lee las dos marcas en otro terreno, lejos de aquí.",
		ExtraSquare:     "Pon el transmisor a escuadra con la línea y lee otra vez la señal en la línea base.",
		ExtraView:       "Mira en qué vista está el receptor, ponlo en la de calibración y lee otra vez la marca cercana.",
		ExtraGear:       "Lee los números de serie de la carcasa y del transmisor y la potencia, y lee otra vez la señal.",
		ExtraTypeAgain:  "Lee esa marca una vez más y escríbela con su unidad.",
		ExtraStartOver:  "Empieza de nuevo: otra línea base, otras marcas, otro terreno.",
	}
}
