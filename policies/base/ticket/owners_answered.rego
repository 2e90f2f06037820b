# METADATA
# title: "Every listed owner has answered"
# description: "At least one owner is listed on the ticket, and as many have answered as are listed."
# related_resources:
# - ref: "29 CFR 1926.651(b)"
#   description: "OSHA, underground installations at excavations"
# - ref: "49 CFR 196.103"
#   description: "PHMSA, what an excavator must do before and while digging near pipelines"
# - ref: "20VAC5-309-150"
#   description: "Virginia, requirement for trenchless excavation: a state rule that names the locating device; chosen as a good rule elsewhere too"
# custom:
#   id: "ticket.owners_answered"
#   order: 120
#   severity: "stop"
#   gate: "release"
#   waivable: true
#   status: ""
#   title:
#     es: "Todos los dueños de la lista contestaron"
#   stop:
#     en: "{owners_answered} of {owners_listed} owners on the ticket have answered."
#     es: "Contestaron {owners_answered} de {owners_listed} dueños del ticket."
#   why:
#     en: "A line whose owner has not answered is a line without paint, and you drill blind to it. OSHA lets work go on without an answer only after the waiting time, with caution and with detection equipment."
#     es: "Una línea cuyo dueño no contestó es una línea sin pintura, y perforas a ciegas frente a ella. OSHA deja seguir sin respuesta solo después del plazo, con cuidado y con equipo de detección."
#   remedy:
#     en: "Call the owners that have not answered, and wait for their marks."
#     es: "Llama a los dueños que no han contestado y espera sus marcas."
#   asks:
#   - id: "owners_listed"
#     kind: "count"
#     label:
#       en: "owners listed"
#       es: "dueños en la lista"
#     min: "0"
#     max: "60"
#     outside: "ask"
#     together: "owners"
#     lead:
#       en: "How many owners are listed on the ticket, and how many of them have marked or said they are clear?"
#       es: "¿Cuántos dueños hay en la lista del ticket, y cuántos ya marcaron o dijeron que no tienen nada ahí?"
#     prompt:
#       en: "How many owners are listed on the ticket?"
#       es: "¿Cuántos dueños hay en la lista del ticket?"
#   - id: "owners_answered"
#     kind: "count"
#     label:
#       en: "owners answered"
#       es: "dueños que contestaron"
#     min: "0"
#     max: "60"
#     outside: "ask"
#     together: "owners"
#     prompt:
#       en: "How many of them have marked, or said they are clear?"
#       es: "¿Cuántos ya marcaron, o dijeron que no tienen nada ahí?"
package checks.base.ticket.owners_answered

pass if {
	is_number(input.owners_answered)
	input.owners_listed >= 1
	input.owners_answered >= input.owners_listed
}
