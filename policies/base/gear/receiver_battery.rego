# METADATA
# title: "The receiver battery lasts"
# description: "The charge of the receiver lasts for the hours planned, with the reserve."
# related_resources:
# - ref: "common practice, no source"
#   description: "Both units above the threshold before the bore, fresh cells for a long one"
# custom:
#   id: "gear.receiver_battery"
#   order: 340
#   severity: "stop"
#   gate: "release"
#   waivable: true
#   status: "common practice, no source"
#   title:
#     es: "La batería del receptor alcanza"
#   stop:
#     en: "The receiver runs {derived.receiver_run} on this charge; {derived.hours_needed} are needed with the reserve."
#     es: "El receptor aguanta {derived.receiver_run} con esta carga; se necesitan {derived.hours_needed} con la reserva."
#   why:
#     en: "A receiver that dies over the head leaves you steering blind with the string in the ground. Near its end a battery can also pull readings off before it quits."
#     es: "Un receptor que se apaga sobre la cabeza te deja sin rumbo con las barras en la tierra. Cerca del final una batería también puede falsear lecturas antes de apagarse."
#   remedy:
#     en: "Put a fresh battery in the receiver and read the charge again."
#     es: "Pon una batería llena en el receptor y lee la carga otra vez."
#   asks:
#   - id: "receiver_full_hours"
#     kind: "duration"
#     label:
#       en: "receiver hours, fresh battery"
#       es: "horas del receptor, batería nueva"
#     unit: "h"
#     min: "1 h"
#     max: "200 h"
#     outside: "ask"
#     together: "full"
#     lead:
#       en: "How many hours does the receiver run on a fresh battery, and how many the transmitter on fresh cells? Take the battery table, or what you have seen."
#       es: "¿Cuántas horas dura el receptor con batería llena, y cuántas el transmisor con pilas nuevas? Usa la tabla de baterías, o lo que has visto."
#     carry: "gear"
#     redo_after: ["gear_change"]
#     prompt:
#       en: "Receiver, fresh battery: hours?"
#       es: "Receptor, batería llena: ¿cuántas horas?"
#   - id: "hours_planned"
#     kind: "duration"
#     label:
#       en: "hours of drilling ahead"
#       es: "horas de perforar por delante"
#     unit: "h"
#     min: "0.5 h"
#     max: "48 h"
#     outside: "ask"
#     together: "batteries"
#     lead:
#       en: "Hours of drilling still ahead, receiver battery %, transmitter battery %? A transmitter without a display: new cells are 100, used cells 0."
#       es: "¿Horas de perforación que faltan, batería del receptor %, batería del transmisor %? Transmisor sin pantalla: pilas nuevas son 100, usadas 0."
#     good_for: "12 h"
#     redo_after: ["new_shift"]
#     prompt:
#       en: "Hours of drilling still ahead on these batteries?"
#       es: "¿Horas de perforación que faltan con estas baterías?"
#   - id: "receiver_charge"
#     kind: "percent"
#     label:
#       en: "receiver battery"
#       es: "batería del receptor"
#     unit: "%"
#     min: "0 %"
#     max: "100 %"
#     together: "batteries"
#     good_for: "12 h"
#     redo_after: ["gear_change", "new_shift"]
#     prompt:
#       en: "Receiver battery, %?"
#       es: "¿Batería del receptor, %?"
package checks.base.gear.receiver_battery

pass if {
	is_number(input.derived.receiver_run_s)
	is_number(input.derived.hours_needed_s)
	input.derived.receiver_run_s >= input.derived.hours_needed_s
}
