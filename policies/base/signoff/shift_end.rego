# METADATA
# title: "The shift has an end"
# description: "The shift ends later than now and within the longest shift."
# related_resources:
# - ref: "common practice, no source"
#   description: "A release does not outlive the shift that checked it"
# custom:
#   id: "signoff.shift_end"
#   order: 810
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "El turno tiene hora de salida"
#   stop:
#     en: "The shift end {shift_ends} is past, or more than {params.signoff.longest} away."
#     es: "La salida {shift_ends} ya pasó, o falta más de {params.signoff.longest}."
#   why:
#     en: "Batteries, ground and people change over a day, so a release holds for one shift. The next shift looks for itself."
#     es: "Las baterías, el terreno y la gente cambian en un día, así que el permiso vale un turno. El siguiente turno revisa por sí mismo."
#   remedy:
#     en: "Give the time at which this crew goes home."
#     es: "Da la hora en que esta cuadrilla se va."
#   asks:
#   - id: "shift_ends"
#     kind: "time"
#     label:
#       en: "end of the shift"
#       es: "fin del turno"
#     redo_after: ["new_shift"]
#     ends: true
#     prompt:
#       en: "When does this shift end?"
#       es: "¿A qué hora termina este turno?"
package checks.base.signoff.shift_end

pass if {
	input.clock.now < input.shift_ends
	input.shift_ends <= input.clock.now + data.params.signoff.longest_s
}
