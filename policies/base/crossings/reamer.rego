# METADATA
# title: "The final reamer is known"
# description: "The diameter of the largest tool that goes through the hole is on record where a line is crossed."
# related_resources:
# - ref: "common practice, no source"
#   description: "Judge a crossing by the final reamer, not by the pilot bit"
# custom:
#   id: "crossings.reamer"
#   order: 730
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Se sabe el escariador final"
#   stop:
#     en: "The reamer of {reamer_size} is no size to judge a crossing by."
#     es: "El escariador de {reamer_size} no sirve para juzgar un cruce."
#   why:
#     en: "The pilot bit only opens the way; what comes close to the line is the last and largest reamer. Half of its diameter goes off the gap at every crossing."
#     es: "La broca piloto solo abre el camino; lo que se acerca a la línea es el último escariador, el más grande. La mitad de su diámetro se resta del espacio en cada cruce."
#   remedy:
#     en: "Measure the largest reamer that goes through the hole."
#     es: "Mide el escariador más grande que va a pasar."
#   asks:
#   - id: "reamer_size"
#     kind: "length"
#     label:
#       en: "largest reamer"
#       es: "rima más grande"
#     unit: "in"
#     min: "1 in"
#     max: "60 in"
#     outside: "ask"
#     prompt:
#       en: "Diameter of the largest reamer that goes through?"
#       es: "¿Diámetro del escariador más grande que va a pasar?"
package checks.base.crossings.reamer

exempt if {
	is_array(input.crossings)
	count(input.crossings) == 0
}

pass if {
	is_number(input.reamer_size)
	input.reamer_size > 0
}
