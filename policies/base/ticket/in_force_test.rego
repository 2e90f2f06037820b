package tests.base.ticket.in_force

import data.checks.base.ticket.in_force

# 20416 is 2025-11-24 in days since 1970-01-01 (derived: date arithmetic).
ticket(first, last) := {
	"ticket_number": "A123",
	"ticket_first_day": first,
	"ticket_last_day": last,
	"clock": {"today": 20416},
}

test_pass_inside if in_force.pass with input as ticket(20410, 20420)

test_pass_on_the_first_day if in_force.pass with input as ticket(20416, 20420)

test_stop_the_day_before if not in_force.pass with input as ticket(20417, 20420)

test_pass_on_the_last_day if in_force.pass with input as ticket(20410, 20416)

test_stop_the_day_after if not in_force.pass with input as ticket(20410, 20415)

test_blank_number if not in_force.pass with input as object.union(ticket(20410, 20420), {"ticket_number": " "})

test_number_as_number if not in_force.pass with input as object.union(ticket(20410, 20420), {"ticket_number": 123})

test_no_number if not in_force.pass with input as object.remove(ticket(20410, 20420), ["ticket_number"])

test_no_first_day if not in_force.pass with input as object.remove(ticket(20410, 20420), ["ticket_first_day"])

test_no_last_day if not in_force.pass with input as object.remove(ticket(20410, 20420), ["ticket_last_day"])

test_no_clock if not in_force.pass with input as object.remove(ticket(20410, 20420), ["clock"])

test_first_day_null if not in_force.pass with input as ticket(null, 20420)

test_last_day_as_text if not in_force.pass with input as ticket(20410, "2025-11-30")
