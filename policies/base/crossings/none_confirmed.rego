# METADATA
# title: "Every crossed line is named, or there is none"
# description: "The lines that the bore crosses are listed; if the list is empty, somebody has said that there is none."
# related_resources:
# - ref: "20VAC5-309-150"
#   description: "Virginia, requirement for trenchless excavation: a state rule that names the locating device; chosen as a good rule elsewhere too"
# - ref: "29 CFR 1926.651(b)"
#   description: "OSHA, underground installations at excavations"
# custom:
#   id: "crossings.none_confirmed"
#   order: 710
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   guards: "crossing"
#   status: ""
#   title:
#     es: "Cada línea cruzada tiene nombre, o no hay ninguna"
#   stop:
#     en: "No crossed line is named, and nobody stands for there being none."
#     es: "No hay línea cruzada en la lista, y nadie responde de que no hay ninguna."
#   why:
#     en: "An empty list can mean a clear path or a list that nobody wrote. Near a street there is nearly always something to cross, so none must be said by a person."
#     es: "Una lista vacía puede ser una ruta libre o una lista que nadie escribió. Cerca de una calle casi siempre hay algo que cruzar, así que ninguna lo debe decir una persona."
#   remedy:
#     en: "Walk the path along the marks and name each line that the bore crosses."
#     es: "Camina la ruta por las marcas y nombra cada línea que cruza la perforación."
#   asks:
#   - id: "crossings"
#     kind: "names"
#     label:
#       en: "lines crossed"
#       es: "líneas que cruza"
#     prompt:
#       en: "Which lines does the bore cross? Name each, such as gas main, water. None if there is none."
#       es: "¿Qué líneas cruza la perforación? Nombra cada una, como gas, agua. Ninguna si no hay."
#   - id: "none_confirmed"
#     kind: "yesno"
#     label:
#       en: "nothing crossed, confirmed"
#       es: "no cruza nada, confirmado"
#     prompt:
#       en: "No line to cross: have you walked the whole path along the marks and seen none?"
#       es: "Ninguna línea que cruzar: ¿caminaste toda la ruta por las marcas y no viste ninguna?"
package checks.base.crossings.none_confirmed

exempt if {
	is_array(input.crossings)
	count(input.crossings) > 0
}

pass if {
	is_array(input.crossings)
	count(input.crossings) == 0
	input.none_confirmed == true
}
