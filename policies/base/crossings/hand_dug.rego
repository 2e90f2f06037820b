# METADATA
# title: "No machine dug near the marks"
# description: "To each side of its marks a crossed line was dug by hand or vacuum only, over the width that the state sets and half of the line besides."
# related_resources:
# - ref: "one_call.csv"
#   description: "Width of the zone beside marked lines, state by state, each with how well it is known"
# - ref: "https://commongroundalliance.com/best-practices"
#   description: "CGA Best Practices, the zone is the width of the line and 18 in to each side of it, unless the state asks for more; reasonable care inside it"
# - ref: "29 CFR 1926.651(b)"
#   description: "OSHA, the exact place of a line is found by safe and acceptable means"
# custom:
#   id: "crossings.hand_dug"
#   order: 755
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "crossing"
#   status: ""
#   title:
#     es: "Ninguna máquina excavó cerca de las marcas"
#   stop:
#     en: "{crossing}: dug by hand or vacuum only to {crossing.hand_dug} each side of its marks; {params.crossings.tolerance_zone} and half of the line are needed."
#     es: "{crossing}: excavado solo a mano o con vacío hasta {crossing.hand_dug} a cada lado de sus marcas; se necesitan {params.crossings.tolerance_zone} y la mitad de la línea."
#   good:
#     en: "{crossing}: hand or vacuum to {crossing.hand_dug} each side of its marks; {params.crossings.tolerance_zone} and half of the line needed."
#     es: "{crossing}: a mano o con vacío hasta {crossing.hand_dug} a cada lado de sus marcas; se necesitan {params.crossings.tolerance_zone} y la mitad de la línea."
#   why:
#     en: "Marks can be off by a foot or more, and a bucket that finds the line breaks it. So the law of each state keeps machines out of a zone to each side. It is counted from the outside of the line, and marks show its middle; half of the line comes on top."
#     es: "Las marcas pueden fallar por un pie o más, y un cucharón que encuentra la línea la rompe. Por eso la ley de cada estado deja fuera las máquinas en una zona a cada lado. Se cuenta desde el borde de la línea, y las marcas muestran su centro; se suma la mitad de la línea."
#   remedy:
#     en: "Keep machines back at {crossing}; look whether the line was touched, then open the rest by hand or vacuum."
#     es: "Deja las máquinas atrás en {crossing}; revisa si la línea fue tocada, y destapa el resto a mano o con vacío."
#   asks:
#   - id: "hand_dug"
#     kind: "length"
#     label:
#       en: "hand-dug each side"
#       es: "a mano a cada lado"
#     unit: "ft"
#     min: "0 ft"
#     max: "20 ft"
#     outside: "ask"
#     together: "geometry"
#     prompt:
#       en: "{crossing}: how far to each side of its marks was dug by hand or vacuum only, with no machine?"
#       es: "{crossing}: ¿hasta qué distancia a cada lado de sus marcas se excavó solo a mano o con vacío, sin máquina?"
package checks.base.crossings.hand_dug

# What was not dug open has nothing to be judged here; its own check stops the
# bore until the line is in sight.
exempt if input.crossing.exposed == false

pass if {
	is_number(input.crossing.hand_dug)
	is_number(input.crossing.line_size)
	2 * input.crossing.hand_dug >= (2 * data.params.crossings.tolerance_zone_um) + input.crossing.line_size
}
