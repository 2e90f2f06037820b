# METADATA
# title: "The transmitter battery lasts"
# description: "The charge of the transmitter lasts for the hours planned, with the reserve."
# related_resources:
# - ref: "common practice, no source"
#   description: "Both units above the threshold before the bore, fresh cells for a long one"
# custom:
#   id: "gear.transmitter_battery"
#   order: 350
#   severity: "stop"
#   gate: "release"
#   waivable: true
#   status: "common practice, no source"
#   title:
#     es: "La batería del transmisor alcanza"
#   stop:
#     en: "The transmitter runs {derived.transmitter_run} on this charge; {derived.hours_needed} are needed with the reserve."
#     es: "El transmisor aguanta {derived.transmitter_run} con esta carga; se necesitan {derived.hours_needed} con la reserva."
#   why:
#     en: "A transmitter that dies down the hole costs a pullback, and tempts a crew to push on blind. Weak cells also send less, which reads as more depth."
#     es: "Un transmisor que muere abajo cuesta sacar todas las barras, y tienta a seguir a ciegas. Las pilas débiles también transmiten menos, y eso se lee como más profundidad."
#   remedy:
#     en: "Put new cells in the transmitter and tell the charge again."
#     es: "Pon pilas nuevas en el transmisor y di la carga otra vez."
#   asks:
#   - id: "transmitter_full_hours"
#     kind: "duration"
#     label:
#       en: "transmitter hours, fresh cells"
#       es: "horas del transmisor, pilas nuevas"
#     unit: "h"
#     min: "1 h"
#     max: "400 h"
#     outside: "ask"
#     together: "full"
#     carry: "gear"
#     redo_after: ["gear_change"]
#     prompt:
#       en: "Transmitter, fresh cells: hours?"
#       es: "Transmisor, pilas nuevas: ¿cuántas horas?"
#   - id: "transmitter_charge"
#     kind: "percent"
#     label:
#       en: "transmitter battery"
#       es: "batería del transmisor"
#     unit: "%"
#     min: "0 %"
#     max: "100 %"
#     together: "batteries"
#     good_for: "12 h"
#     redo_after: ["gear_change", "new_shift"]
#     prompt:
#       en: "Transmitter battery, %? No display: new cells are 100, used cells 0."
#       es: "¿Batería del transmisor, %? Sin pantalla: pilas nuevas son 100, usadas 0."
package checks.base.gear.transmitter_battery

pass if {
	is_number(input.derived.transmitter_run_s)
	is_number(input.derived.hours_needed_s)
	input.derived.transmitter_run_s >= input.derived.hours_needed_s
}
