# METADATA
# title: "Every role that must sign here has signed"
# description: "Each role that the limits name is among those who have signed."
# related_resources:
# - ref: "common practice, no source"
#   description: "The person who reads the depths signs for them; a place may want further roles"
# custom:
#   id: "signoff.roles_needed"
#   order: 825
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Firmaron todos los puestos que aquí deben firmar"
#   stop:
#     en: "A role that must sign here has not signed. Needed: {params.signoff.roles_needed}."
#     es: "Falta la firma de un puesto que aquí debe firmar. Se necesitan: {params.signoff.roles_needed}."
#   why:
#     en: "Some roles know what no other knows, and some places want a name under it. Two signatures of other people do not stand in for it."
#     es: "Hay puestos que saben lo que ningún otro sabe, y hay lugares que piden su nombre. Dos firmas de otras personas no lo reemplazan."
#   remedy:
#     en: "Have somebody in the role that is missing read the board and sign."
#     es: "Que alguien del puesto que falta lea el tablero y firme."
package checks.base.signoff.roles_needed

pass if {
	count(data.params.signoff.roles_needed) > 0
	count(_signed) == count(data.params.signoff.roles_needed)
}

_signed := {role |
	some role in data.params.signoff.roles_needed
	role in input.signing.signed_as
}
