# METADATA
# title: "No power line over the calibration ground"
# description: "No overhead power line runs over or beside the calibration line."
# related_resources:
# - ref: "common practice, no source"
#   description: "No overhead power line at the calibration ground"
# custom:
#   id: "ground.no_overhead_power"
#   order: 450
#   severity: "stop"
#   gate: "release"
#   waivable: true
#   status: "common practice, no source"
#   title:
#     es: "Sin línea eléctrica sobre donde calibras"
#   stop:
#     en: "There is a power line over the calibration ground."
#     es: "Hay una línea eléctrica sobre donde calibras."
#   why:
#     en: "The current overhead makes a field that the receiver cannot tell from the transmitter's. With it in the calibration the near mark reads long and the far mark short."
#     es: "La corriente de arriba hace un campo que el receptor no distingue del campo del transmisor. Con él en la calibración la marca cercana lee largo y la lejana corto."
#   remedy:
#     en: "Lay the line away from the power line."
#     es: "Traza la línea lejos de la línea eléctrica."
#   asks:
#   - id: "power_overhead"
#     kind: "yesno"
#     label:
#       en: "power line over the ground"
#       es: "línea eléctrica sobre el terreno"
#     together: "ground"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "failed_depth_check"]
#     prompt:
#       en: "Any power line overhead or along it?"
#       es: "¿Alguna línea eléctrica arriba o a un lado?"
package checks.base.ground.no_overhead_power

pass if input.power_overhead == false
