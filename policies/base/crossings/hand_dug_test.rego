package tests.base.crossings.hand_dug

import data.checks.base.crossings.hand_dug

# 48 in are 1219200 um, 24 in 609600 um; a line of 4 in (101600 um) adds 2 in.
params := {"crossings": {"tolerance_zone_um": 1219200}}

dug(distance, size) := {"crossing": {"exposed": true, "hand_dug": distance, "line_size": size}}

test_pass_at_the_limit if hand_dug.pass with input as dug(1270000, 101600) with data.params as params

test_pass_farther if hand_dug.pass with input as dug(1270001, 101600) with data.params as params

test_stop_just_short if not hand_dug.pass with input as dug(1269999, 101600) with data.params as params

# Half of 3 um is more than one: nothing is rounded away.
test_stop_half_of_an_odd_size if not hand_dug.pass with input as dug(1219201, 3) with data.params as params

test_pass_half_of_an_odd_size if hand_dug.pass with input as dug(1219202, 3) with data.params as params

test_stop_without_half_of_the_line if not hand_dug.pass with input as dug(1219200, 101600) with data.params as params

test_pass_where_the_state_says_less if {
	hand_dug.pass with input as dug(660400, 101600) with data.params as {"crossings": {"tolerance_zone_um": 609600}}
}

test_stop_where_the_state_says_less if {
	not hand_dug.pass with input as dug(660399, 101600) with data.params as {"crossings": {"tolerance_zone_um": 609600}}
}

test_exempt_not_in_sight if hand_dug.exempt with input as {"crossing": {"exposed": false}}

test_not_exempt_in_sight if not hand_dug.exempt with input as {"crossing": {"exposed": true}}

test_not_exempt_unknown if not hand_dug.exempt with input as {"crossing": {}}

test_distance_not_given if not hand_dug.pass with input as {"crossing": {"exposed": true, "line_size": 101600}} with data.params as params

test_size_not_given if not hand_dug.pass with input as {"crossing": {"exposed": true, "hand_dug": 1270000}} with data.params as params

test_distance_as_text if not hand_dug.pass with input as dug("50 in", 101600) with data.params as params

test_size_as_text if not hand_dug.pass with input as dug(1270000, "4 in") with data.params as params

test_no_limit if not hand_dug.pass with input as dug(1270000, 101600) with data.params as {}
