# METADATA
# title: "No signs of a line without marks"
# description: "Along the path nothing shows of a line that is not marked."
# related_resources:
# - ref: "OSHA Safety and Health Information Bulletin, Avoiding Underground Utilities during Horizontal Directional Drilling Operations"
#   description: "Walk the path, look for signs of lines and for interference, pothole, plan for fire and gas"
# - ref: "20VAC5-309-150"
#   description: "Virginia, requirement for trenchless excavation: a state rule that names the locating device; chosen as a good rule elsewhere too"
# custom:
#   id: "ticket.nothing_unmarked"
#   order: 140
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: ""
#   title:
#     es: "Sin señas de una línea sin marcas"
#   stop:
#     en: "There are signs of a line that nobody has marked."
#     es: "Hay señas de una línea que nadie marcó."
#   why:
#     en: "Private lines, yard lights, sprinklers and old services are on no ticket, since no owner has to mark them. A meter, a box or a patched trench shows them to whoever walks the path."
#     es: "Las líneas privadas, las luces de patio, los riegos y las tomas viejas no salen en ningún ticket, porque ningún dueño tiene que marcarlas. Un medidor, una caja o una zanja parchada las delata a quien camina la ruta."
#   remedy:
#     en: "Find whose line it is, and have it located before you go on."
#     es: "Averigua de quién es la línea, y que la localicen antes de seguir."
#   asks:
#   - id: "unmarked_signs"
#     kind: "yesno"
#     label:
#       en: "sign of an unmarked line"
#       es: "señal de línea sin marca"
#     prompt:
#       en: "Do you see any sign of a line with no mark: meter, valve box, manhole, riser, patched trench?"
#       es: "¿Ves alguna seña de una línea sin marca: medidor, caja de válvula, registro, tubo que sale, zanja parchada?"
package checks.base.ticket.nothing_unmarked

pass if input.unmarked_signs == false
