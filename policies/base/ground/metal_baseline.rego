# METADATA
# title: "No metal near the baseline"
# description: "The nearest metal is at least the standoff away from the baseline."
# related_resources:
# - ref: "common practice, no source"
#   description: "Calibration ground free of metal"
# - ref: "derived"
#   description: "Half-space bound for any passive metal: at the standoff s the signal along a line of length r changes by no more than (r/s)^3 / 4"
# custom:
#   id: "ground.metal_baseline"
#   order: 410
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Sin metal cerca de la línea base"
#   stop:
#     en: "Nearest metal is at {metal_distance}; at least {params.ground.standoff} is needed. It can make every later depth wrong by up to {derived.metal_effect}."
#     es: "El metal más cercano está a {metal_distance}; se necesitan al menos {params.ground.standoff}. Puede falsear toda profundidad posterior hasta {derived.metal_effect}."
#   why:
#     en: "Metal bends the field, and what it adds while you calibrate makes every later depth read too deep: you see cover that is not there. Twice as far away, it does an eighth of the harm."
#     es: "El metal dobla el campo, y lo que agrega mientras calibras hace leer de más toda profundidad: ves una cubierta que no existe. Al doble de distancia hace un octavo del daño."
#   remedy:
#     en: "Move the line or the metal, then give the new distance."
#     es: "Mueve la línea o el metal, y da la nueva distancia."
#   asks:
#   - id: "metal_distance"
#     kind: "length"
#     label:
#       en: "metal from the baseline"
#       es: "metal a la línea base"
#     unit: "ft"
#     min: "0 ft"
#     max: "2000 ft"
#     outside: "ask"
#     together: "metal"
#     lead:
#       en: "Lay out the line and look all round: rig, trucks, trailers, fences, pipe racks. How far is the nearest metal from the baseline, and how far from the line on out to the far mark?"
#       es: "Traza la línea y mira todo alrededor: máquina, camiones, remolques, cercas, tubos. ¿A qué distancia está el metal más cercano de la línea base, y a qué distancia de la línea hasta la marca lejana?"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "failed_depth_check"]
#     prompt:
#       en: "How far is the nearest metal from the baseline? Count the rig, trucks, trailers, fences, pipe racks."
#       es: "¿A qué distancia está el metal más cercano de la línea base? Cuenta la máquina, camiones, remolques, cercas, tubos."
package checks.base.ground.metal_baseline

pass if {
	is_number(input.metal_distance)
	input.metal_distance >= data.params.ground.standoff_um
}
