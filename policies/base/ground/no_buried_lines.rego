# METADATA
# title: "No buried line at the calibration ground"
# description: "Nothing is buried under or beside the calibration line."
# related_resources:
# - ref: "common practice, no source"
#   description: "No buried lines under the calibration line"
# custom:
#   id: "ground.no_buried_lines"
#   order: 430
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Sin líneas enterradas donde calibras"
#   stop:
#     en: "There is a buried line at the calibration ground."
#     es: "Hay una línea enterrada donde calibras."
#   why:
#     en: "A live cable makes a field of its own, and a pipe earthed at both ends carries current that the transmitter drives in it. No distance table covers that, so the ground must be clear."
#     es: "Un cable vivo hace su propio campo, y un tubo aterrizado en los dos extremos lleva corriente que el transmisor le mete. Ninguna tabla de distancias lo cubre, así que el terreno debe estar libre."
#   remedy:
#     en: "Lay the line somewhere else."
#     es: "Traza la línea en otro lugar."
#   asks:
#   - id: "buried_lines"
#     kind: "yesno"
#     label:
#       en: "buried line near the ground"
#       es: "línea enterrada cerca"
#     together: "ground"
#     lead:
#       en: "Look at the ground you calibrate on. Yes or no for each: any pipe or cable buried under or beside the line, any slab, rebar, mat or steel plate under it, any power line overhead or along it?"
#       es: "Mira el terreno donde calibras. Sí o no para cada uno: ¿algún tubo o cable enterrado debajo o junto a la línea, alguna losa, varilla, malla o placa de acero debajo, alguna línea eléctrica arriba o a un lado?"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "failed_depth_check"]
#     prompt:
#       en: "Any pipe or cable buried under or beside the line?"
#       es: "¿Algún tubo o cable enterrado debajo o junto a la línea?"
package checks.base.ground.no_buried_lines

pass if input.buried_lines == false
