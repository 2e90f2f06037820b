package tests.base.crossings.clearance

import data.checks.base.crossings.clearance

gap(separation, needed) := {"crossing": {"derived": {"separation_um": separation, "needed_um": needed}}}

# Reamer 5 in, line 2 in, clearance 12 in, doubt 3.6 in and 1 in are 23.6 in
# (derived), which is 599440 um.
test_pass_more if clearance.pass with input as gap(599441, 599440)

test_pass_just_enough if clearance.pass with input as gap(599440, 599440)

test_stop_a_hair_less if not clearance.pass with input as gap(599439, 599440)

test_separation_not_known if not clearance.pass with input as {"crossing": {"derived": {"needed_um": 599440}}}

test_need_not_known if not clearance.pass with input as {"crossing": {"derived": {"separation_um": 599440}}}

test_separation_as_text if not clearance.pass with input as gap("31 in", 599440)

test_need_null if not clearance.pass with input as gap(599440, null)

test_exempt_when_nobody_has_seen_the_line if clearance.exempt with input as {"crossing": {"exposed": false}}

test_not_exempt_when_it_is_in_sight if not clearance.exempt with input as {"crossing": {"exposed": true}}

test_not_exempt_when_nobody_has_said if not clearance.exempt with input as {"crossing": {}}
