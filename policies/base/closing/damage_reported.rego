# METADATA
# title: "Any damage was reported at once"
# description: "No line was touched, or the owner was told at once, and emergency responders on any release."
# related_resources:
# - ref: "49 CFR 196.107"
#   description: "PHMSA, report every damage to the pipeline operator at once, leaking or not"
# - ref: "49 CFR 196.109"
#   description: "PHMSA, on a release call 911 or the local emergency number at once"
# custom:
#   id: "closing.damage_reported"
#   order: 1010
#   severity: "stop"
#   gate: "close"
#   waivable: false
#   status: ""
#   title:
#     es: "Todo daño se reportó enseguida"
#   stop:
#     en: "A line was touched and its owner has not been told."
#     es: "Se tocó una línea y su dueño no lo sabe."
#   why:
#     en: "The law wants every hit or scrape reported at once, leaking or not, and 911 called on any release. A scratched coating or a dent can fail years later, when nobody remembers the bore."
#     es: "La ley pide reportar enseguida todo golpe o raspón, con fuga o sin ella, y llamar al 911 si hay fuga. Un recubrimiento rayado o una abolladura puede fallar años después, cuando nadie recuerda la perforación."
#   remedy:
#     en: "Call the owner of the line now, and 911 first if anything leaks."
#     es: "Llama ya al dueño de la línea, y primero al 911 si hay fuga."
#   asks:
#   - id: "line_damaged"
#     kind: "yesno"
#     label:
#       en: "a line was hit"
#       es: "se golpeó una línea"
#     prompt:
#       en: "Was any line hit, scraped or moved during the bore?"
#       es: "¿Se golpeó, raspó o movió alguna línea durante la perforación?"
#   - id: "damage_told"
#     kind: "yesno"
#     label:
#       en: "damage told to the owner"
#       es: "daño avisado al dueño"
#     prompt:
#       en: "Was the owner told at once, and 911 called if anything leaked?"
#       es: "¿Se avisó enseguida al dueño, y al 911 si hubo fuga?"
package checks.base.closing.damage_reported

exempt if input.line_damaged == false

pass if input.damage_told == true
