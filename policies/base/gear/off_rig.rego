# METADATA
# title: "The housing is off the rig"
# description: "The housing lies free, joined to no rod and not on the rig."
# related_resources:
# - ref: "common practice, no source"
#   description: "Calibrate with the housing off the rig and off the rods"
# custom:
#   id: "gear.off_rig"
#   order: 370
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: "common practice, no source"
#   title:
#     es: "La carcasa está fuera de la máquina"
#   stop:
#     en: "The housing is still on the rig or on a rod."
#     es: "La carcasa sigue en la máquina o en una barra."
#   why:
#     en: "Rod and rig are steel, and steel next to the transmitter changes the field you calibrate on. Down the hole that steel lies otherwise, so the error goes with you."
#     es: "La barra y la máquina son de acero, y el acero junto al transmisor cambia el campo con que calibras. Abajo ese acero queda de otro modo, así que el error se va contigo."
#   remedy:
#     en: "Take the housing off the rod and lay it where you calibrate."
#     es: "Quita la carcasa de la barra y ponla donde calibras."
#   asks:
#   - id: "off_rig"
#     kind: "yesno"
#     label:
#       en: "housing off the rig"
#       es: "carcasa fuera de la perforadora"
#     together: "rigfree"
#     redo_after: ["gear_change", "frequency_change", "power_change", "hard_impact", "failed_depth_check"]
#     prompt:
#       en: "Is the housing off the rig, with no rod on it?"
#       es: "¿Está la carcasa fuera de la máquina, sin barra?"
package checks.base.gear.off_rig

pass if input.off_rig == true
