# METADATA
# title: "The frequencies of the bore are known"
# description: "At least one frequency that the transmitter will use down the hole is on record."
# related_resources:
# - ref: "common practice, no source"
#   description: "Every frequency used down the hole is calibrated and checked"
# custom:
#   id: "gear.frequencies"
#   order: 330
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   guards: "frequency"
#   status: "common practice, no source"
#   title:
#     es: "Se saben las frecuencias de la perforación"
#   stop:
#     en: "No frequency is named."
#     es: "No hay ninguna frecuencia."
#   why:
#     en: "Ground, noise and metal act differently on each frequency. One that is true tells nothing about another, so each that you may switch to is checked before the bore."
#     es: "El terreno, el ruido y el metal actúan distinto en cada frecuencia. Una que sale bien no dice nada de otra, así que cada una que puedas usar se revisa antes de perforar."
#   remedy:
#     en: "Name every frequency that you may switch to down the hole."
#     es: "Di cada frecuencia a la que puedas cambiar abajo."
#   asks:
#   - id: "frequencies"
#     kind: "frequencies"
#     label:
#       en: "frequencies down the hole"
#       es: "frecuencias abajo"
#     unit: "kHz"
#     min: "0.1 kHz"
#     max: "100 kHz"
#     outside: "ask"
#     redo_after: ["gear_change", "frequency_change"]
#     means: "frequency_change"
#     prompt:
#       en: "Which frequencies may you use down the hole? Name all of them, with kHz."
#       es: "¿Qué frecuencias puedes usar abajo? Dilas todas, con kHz."
package checks.base.gear.frequencies

pass if {
	is_array(input.frequencies)
	count(input.frequencies) > 0
}
