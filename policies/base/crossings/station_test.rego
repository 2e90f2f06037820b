package tests.base.crossings.station

import data.checks.base.crossings.station

at(distance) := {"crossing": {"station": distance}}

test_pass if station.pass with input as at(12496800)

test_pass_just_past_the_entry if station.pass with input as at(1)

test_stop_at_zero if not station.pass with input as at(0)

test_stop_behind_the_entry if not station.pass with input as at(-1)

test_not_known if not station.pass with input as {"crossing": {}}
