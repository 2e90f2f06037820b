# METADATA
# title: "Different people in different roles have signed"
# description: "As many different people, in as many different roles, have signed as the limits ask for."
# related_resources:
# - ref: "common practice, no source"
#   description: "Two people in two roles release a bore"
# custom:
#   id: "signoff.two_people"
#   order: 820
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Firmaron personas distintas en puestos distintos"
#   stop:
#     en: "Fewer than {params.signoff.people} people in {params.signoff.roles} roles have signed."
#     es: "Firmaron menos de {params.signoff.people} personas en {params.signoff.roles} puestos."
#   why:
#     en: "Whoever made a mistake reads over it again, and a second pair of eyes from another job does not. Each signs what stands on the board, and both names stay on record."
#     es: "Quien cometió un error lo vuelve a leer sin verlo, y otro par de ojos de otro puesto no. Cada quien firma lo que está en el tablero, y los dos nombres quedan registrados."
#   remedy:
#     en: "Have somebody in another role read the board and sign."
#     es: "Que alguien de otro puesto lea el tablero y firme."
package checks.base.signoff.two_people

pass if {
	is_number(input.signing.people)
	is_number(input.signing.roles)
	input.signing.people >= data.params.signoff.people
	input.signing.roles >= data.params.signoff.roles
}
