# METADATA
# title: "The one-call ticket is good today"
# description: "Today is neither before the first nor after the last day of the ticket."
# related_resources:
# - ref: "49 CFR 196.103"
#   description: "PHMSA, what an excavator must do before and while digging near pipelines"
# - ref: "29 CFR 1926.651(b)"
#   description: "OSHA, underground installations at excavations"
# custom:
#   id: "ticket.in_force"
#   order: 110
#   severity: "stop"
#   gate: "release"
#   waivable: false
#   status: ""
#   title:
#     es: "El ticket vale hoy"
#   stop:
#     en: "Ticket {ticket_number} is not good today; look at its first and its last day."
#     es: "El ticket {ticket_number} no vale hoy; mira su primer y su último día."
#   why:
#     en: "The law wants the one-call centre told before you dig, and the owners get time to mark. Before the first day the marks may not be there yet, after the last day nobody stands behind them."
#     es: "La ley pide avisar al centro de una llamada antes de excavar, y los dueños tienen tiempo para marcar. Antes del primer día las marcas pueden faltar, y después del último nadie responde por ellas."
#   remedy:
#     en: "Call the one-call centre for a ticket that is good today."
#     es: "Llama al centro de una llamada y pide un ticket que valga hoy."
#   asks:
#   - id: "ticket_number"
#     kind: "text"
#     label:
#       en: "ticket"
#       es: "ticket"
#     together: "ticket"
#     lead:
#       en: "From the one-call ticket: number, first day you may dig, last day it is good for?"
#       es: "Del ticket: ¿número, primer día en que puedes excavar, último día en que vale?"
#     prompt:
#       en: "Ticket number?"
#       es: "¿Número del ticket?"
#   - id: "ticket_first_day"
#     kind: "date"
#     label:
#       en: "ticket from"
#       es: "ticket desde"
#     together: "ticket"
#     prompt:
#       en: "First day you may dig on it?"
#       es: "¿Primer día en que puedes excavar con él?"
#   - id: "ticket_last_day"
#     kind: "date"
#     label:
#       en: "ticket until"
#       es: "ticket hasta"
#     together: "ticket"
#     ends: true
#     prompt:
#       en: "Last day it is good for?"
#       es: "¿Último día en que vale?"
package checks.base.ticket.in_force

pass if {
	is_string(input.ticket_number)
	trim_space(input.ticket_number) != ""
	is_number(input.ticket_first_day)
	is_number(input.ticket_last_day)
	input.ticket_first_day <= input.clock.today
	input.clock.today <= input.ticket_last_day
}
