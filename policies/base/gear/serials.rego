# METADATA
# title: "Receiver, transmitter and housing are known"
# description: "The serials of the receiver, the transmitter and the housing are on record."
# related_resources:
# - ref: "common practice, no source"
#   description: "A calibration belongs to one receiver, one transmitter and one housing"
# custom:
#   id: "gear.serials"
#   order: 310
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Se sabe qué receptor, transmisor y carcasa son"
#   stop:
#     en: "A serial is missing."
#     es: "Falta un número de serie."
#   why:
#     en: "A calibration is true for one receiver with one transmitter in one housing, and for no other set. Serials are how anybody can tell later that the set in the hole is the one that was calibrated."
#     es: "Una calibración vale para un receptor con un transmisor en una carcasa, y para ningún otro juego. Los números de serie muestran después que el juego en el hoyo es el que se calibró."
#   remedy:
#     en: "Read the serials off the gear itself."
#     es: "Lee los números de serie en el equipo mismo."
#   asks:
#   - id: "receiver_serial"
#     kind: "serial"
#     label:
#       en: "receiver serial"
#       es: "serie del receptor"
#     together: "gear"
#     lead:
#       en: "Read off the gear itself: receiver serial, transmitter serial, housing serial (paint one on if it has none). And is the receiver linked to this transmitter, so that it calibrates all frequencies in one pass, yes or no?"
#       es: "Lee en el equipo mismo: serie del receptor, serie del transmisor, serie de la carcasa (si no tiene, ponle una con pintura). ¿Y está el receptor enlazado con este transmisor, para calibrar todas las frecuencias en una pasada, sí o no?"
#     carry: "gear"
#     redo_after: ["gear_change"]
#     means: "gear_change"
#     prompt:
#       en: "Receiver serial?"
#       es: "¿Serie del receptor?"
#   - id: "transmitter_serial"
#     kind: "serial"
#     label:
#       en: "transmitter serial"
#       es: "serie del transmisor"
#     together: "gear"
#     carry: "gear"
#     redo_after: ["gear_change"]
#     means: "gear_change"
#     prompt:
#       en: "Transmitter serial?"
#       es: "¿Serie del transmisor?"
#   - id: "housing_serial"
#     kind: "serial"
#     label:
#       en: "housing serial"
#       es: "serie de la carcasa"
#     together: "gear"
#     carry: "gear"
#     redo_after: ["gear_change"]
#     means: "gear_change"
#     prompt:
#       en: "Housing serial?"
#       es: "¿Serie de la carcasa?"
package checks.base.gear.serials

pass if {
	is_string(input.receiver_serial)
	trim_space(input.receiver_serial) != ""
	is_string(input.transmitter_serial)
	trim_space(input.transmitter_serial) != ""
	is_string(input.housing_serial)
	trim_space(input.housing_serial) != ""
}
