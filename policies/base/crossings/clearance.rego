# METADATA
# title: "Every crossing has the clearance it needs"
# description: "From centre to centre the bore is planned at least as far from the line as reamer, line, clearance and doubt together need."
# related_resources:
# - ref: "49 CFR 192.325"
#   description: "PHMSA, 12 in from a transmission line to other structures, from memory; chosen here for every crossed line"
# - ref: "20VAC5-309-150"
#   description: "Virginia, requirement for trenchless excavation: a state rule that names the locating device; chosen as a good rule elsewhere too"
# custom:
#   id: "crossings.clearance"
#   order: 750
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   each: "crossing"
#   status: "from memory"
#   title:
#     es: "Cada cruce tiene el espacio que necesita"
#   stop:
#     en: "{crossing}: planned are {crossing.derived.separation} between centres; {crossing.derived.needed} are needed."
#     es: "{crossing}: hay {crossing.derived.separation} planeadas entre centros; se necesitan {crossing.derived.needed}."
#   good:
#     en: "{crossing}: {crossing.derived.separation} planned from centre to centre, {crossing.derived.needed} needed."
#     es: "{crossing}: {crossing.derived.separation} planeado de centro a centro, {crossing.derived.needed} necesario."
#   why:
#     en: "Half the reamer, half the line, the clearance of {params.crossings.clearance} and the doubt of both depths all come out of the same gap. The doubt is added in full, for a reading that is off stays off on the whole way past the line."
#     es: "La mitad del escariador, la mitad de la línea, el espacio de {params.crossings.clearance} y la duda de las dos profundidades salen del mismo hueco. La duda se suma completa, porque una lectura que está mal sigue mal todo el paso junto a la línea."
#   remedy:
#     en: "Plan the bore deeper at {crossing}, or take a smaller reamer, and give the new depth."
#     es: "Planea la perforación más abajo en {crossing}, o usa un escariador más chico, y da la nueva profundidad."
#   asks:
#   - id: "line_depth"
#     kind: "length"
#     label:
#       en: "depth of the line"
#       es: "profundidad de la línea"
#     unit: "ft"
#     min: "0 ft"
#     max: "100 ft"
#     outside: "ask"
#     together: "geometry"
#     prompt:
#       en: "{crossing}: depth from the surface to the centre of the line, as you see it?"
#       es: "{crossing}: ¿profundidad de la superficie al centro de la línea, como la ves?"
#   - id: "line_size"
#     kind: "length"
#     label:
#       en: "diameter of the line"
#       es: "diámetro de la línea"
#     unit: "in"
#     min: "0.1 in"
#     max: "120 in"
#     outside: "ask"
#     together: "geometry"
#     prompt:
#       en: "{crossing}: outside diameter of the line?"
#       es: "{crossing}: ¿diámetro exterior de la línea?"
#   - id: "bore_depth"
#     kind: "length"
#     label:
#       en: "depth of the bore there"
#       es: "profundidad de la perforación ahí"
#     unit: "ft"
#     min: "1 ft"
#     max: "100 ft"
#     outside: "ask"
#     together: "geometry"
#     prompt:
#       en: "{crossing}: planned depth to the centre of the bore right there?"
#       es: "{crossing}: ¿profundidad planeada al centro de la perforación ahí mismo?"
package checks.base.crossings.clearance

# The depth of a line that nobody has seen is not known, and no clearance can be
# judged by it. Its own check stops the bore until the line is in sight.
exempt if input.crossing.exposed == false

pass if {
	is_number(input.crossing.derived.separation_um)
	is_number(input.crossing.derived.needed_um)
	input.crossing.derived.separation_um >= input.crossing.derived.needed_um
}
