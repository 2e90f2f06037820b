# METADATA
# title: "It is known how the receiver is calibrated"
# description: "It is on record whether the receiver is linked to the transmitter."
# related_resources:
# - ref: "common practice, no source"
#   description: "A receiver linked to its transmitter calibrates all frequencies in one pass; one that is not is calibrated one frequency at a time"
# custom:
#   id: "gear.link"
#   order: 320
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "Se sabe cómo se calibra el receptor"
#   stop:
#     en: "It is not known whether receiver and transmitter are linked."
#     es: "No se sabe si el receptor y el transmisor están enlazados."
#   why:
#     en: "A linked receiver switches the transmitter by itself and calibrates all frequencies in one pass. One that is not linked must be calibrated on each frequency, one at a time."
#     es: "Un receptor enlazado cambia el transmisor por sí mismo y calibra todas las frecuencias en una pasada. Uno sin enlace se calibra en cada frecuencia, una por una."
#   remedy:
#     en: "Look at the receiver and say whether it is linked to this transmitter."
#     es: "Mira el receptor y di si está enlazado con este transmisor."
#   asks:
#   - id: "receiver_linked"
#     kind: "yesno"
#     label:
#       en: "receiver linked"
#       es: "receptor enlazado"
#     together: "gear"
#     carry: "gear"
#     redo_after: ["gear_change"]
#     prompt:
#       en: "Is the receiver linked to this transmitter, so that it calibrates all frequencies in one pass?"
#       es: "¿Está el receptor enlazado con este transmisor, para calibrar todas las frecuencias en una pasada?"
package checks.base.gear.link

pass if input.receiver_linked == true

pass if input.receiver_linked == false
