# METADATA
# title: "No metal near the line to the far mark"
# description: "The nearest metal is at least the standoff away from the line out to the far mark."
# related_resources:
# - ref: "common practice, no source"
#   description: "Calibration ground free of metal"
# - ref: "derived"
#   description: "Half-space bound: 30.6 ft keep a reading at a 15 ft mark within one percent; the limit chosen here is a little less"
# custom:
#   id: "ground.metal_far_mark"
#   order: 420
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Sin metal cerca de la línea a la marca lejana"
#   stop:
#     en: "Nearest metal to the line out to the far mark is at {metal_distance_far}; at least {params.ground.standoff_far} is needed. It can move the far reading by up to {derived.metal_far_effect}."
#     es: "El metal más cercano a la línea hasta la marca lejana está a {metal_distance_far}; se necesitan al menos {params.ground.standoff_far}. Puede mover la lectura lejana hasta {derived.metal_far_effect}."
#   why:
#     en: "The longer the line, the farther metal reaches: it is the far mark that sets how much clear ground you need. At {params.verification.far_mark} the bound for one percent is 30.6 ft all round, so give it more where you can."
#     es: "Entre más larga la línea, más lejos alcanza el metal: la marca lejana decide cuánto terreno libre necesitas. A {params.verification.far_mark} el límite para uno por ciento son 30.6 pies alrededor, así que dale más donde puedas."
#   remedy:
#     en: "Turn the line away from the metal, then give the new distance."
#     es: "Gira la línea lejos del metal, y da la nueva distancia."
#   asks:
#   - id: "metal_distance_far"
#     kind: "length"
#     label:
#       en: "metal from the far mark"
#       es: "metal a la marca lejana"
#     unit: "ft"
#     min: "0 ft"
#     max: "2000 ft"
#     outside: "ask"
#     together: "metal"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "failed_depth_check"]
#     prompt:
#       en: "And from the line on out to the far mark? Count the same."
#       es: "¿Y desde la línea hasta la marca lejana? Cuenta lo mismo."
package checks.base.ground.metal_far_mark

pass if {
	is_number(input.metal_distance_far)
	input.metal_distance_far >= data.params.ground.standoff_far_um
}
