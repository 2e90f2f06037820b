# METADATA
# title: "Lines that run along the bore are dug open at intervals"
# description: "No marked line runs along the bore nearby, or each that does is dug open by hand at reasonable intervals."
# related_resources:
# - ref: "20VAC5-309-150"
#   description: "Virginia, trenchless excavation: lines parallel to the bore path are exposed by hand at reasonable intervals"
# custom:
#   id: "crossings.parallel_exposed"
#   order: 725
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: ""
#   title:
#     es: "Las líneas paralelas están destapadas a intervalos"
#   stop:
#     en: "A line runs along the bore, and it is not dug open at intervals."
#     es: "Una línea corre a lo largo de la perforación, y no está destapada a intervalos."
#   why:
#     en: "A bore that drifts meets a line beside it where nobody has looked. Open holes along the way show that it still lies where the paint says."
#     es: "Una perforación que se desvía topa con la línea de al lado donde nadie ha mirado. Los hoyos abiertos en el camino muestran que sigue donde dice la pintura."
#   remedy:
#     en: "Open the line by hand or vacuum every so often, so that it is seen all along the bore."
#     es: "Destapa la línea a mano o con vacío cada tanto, para que se vea a lo largo de la perforación."
#   asks:
#   - id: "parallel_lines"
#     kind: "yesno"
#     label:
#       en: "line along the bore"
#       es: "línea a lo largo"
#     prompt:
#       en: "Does any marked line run along the bore, beside it?"
#       es: "¿Corre alguna línea marcada a lo largo de la perforación, a su lado?"
#   - id: "parallel_seen"
#     kind: "yesno"
#     label:
#       en: "dug open along the bore"
#       es: "destapada a lo largo"
#     prompt:
#       en: "Is each such line dug open by hand or vacuum at reasonable intervals?"
#       es: "¿Está destapada cada una a mano o con vacío a intervalos razonables?"
package checks.va.crossings.parallel_exposed

exempt if input.parallel_lines == false

pass if input.parallel_seen == true
