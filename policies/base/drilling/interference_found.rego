# METADATA
# title: "The source of the interference is known"
# description: "After interference was reported, its source is named."
# related_resources:
# - ref: "OSHA Safety and Health Information Bulletin, Avoiding Underground Utilities during Horizontal Directional Drilling Operations"
#   description: "Walk the path, look for signs of lines and for interference, pothole, plan for fire and gas"
# custom:
#   id: "drilling.interference_found"
#   order: 30
#   severity: "stop"
#   gate: "release"
#   waivable: true
#   status: ""
#   title:
#     es: "Se sabe de dónde viene la interferencia"
#   stop:
#     en: "The source of the interference is not named."
#     es: "La fuente de la interferencia no tiene nombre."
#   why:
#     en: "Interference that nobody has found comes back, often right over the line you are about to cross. The receiver shows a steady depth all the same, only a wrong one."
#     es: "La interferencia que nadie encontró regresa, muchas veces justo sobre la línea que vas a cruzar. El receptor muestra de todos modos una profundidad estable, pero equivocada."
#   remedy:
#     en: "Turn the transmitter off, walk the spot with the receiver and look for cables, loops, radios and other transmitters."
#     es: "Apaga el transmisor, camina el lugar con el receptor y busca cables, lazos, radios y otros transmisores."
#   asks:
#   - id: "interference_source"
#     kind: "text"
#     label:
#       en: "source of the interference"
#       es: "fuente de la interferencia"
#     redo_after: ["interference"]
#     prompt:
#       en: "What makes the interference? Cable, traffic loop, fence, radio, other transmitter: say what and where."
#       es: "¿Qué causa la interferencia? Cable, lazo de tránsito, cerca, radio, otro transmisor: di qué y dónde."
package checks.base.drilling.interference_found

exempt if input.drilling.interference == 0

pass if {
	is_string(input.interference_source)
	trim_space(input.interference_source) != ""
}
