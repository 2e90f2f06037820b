package tests.va.ground.stakes_clear

import data.checks.va.ground.stakes_clear

# 24 in are 609600 um; a line of 4 in is 101600 um wide.
params := {"ground": {"stake_distance_um": 609600}}

stake(distance, width) := {"stake_distance": distance, "stake_line": width}

test_pass_at_the_limit if stakes_clear.pass with input as stake(711200, 101600) with data.params as params

test_pass_farther if stakes_clear.pass with input as stake(711201, 101600) with data.params as params

test_stop_just_short if not stakes_clear.pass with input as stake(711199, 101600) with data.params as params

test_stop_without_the_width if not stakes_clear.pass with input as stake(609600, 101600) with data.params as params

test_distance_not_given if not stakes_clear.pass with input as {"stake_line": 101600} with data.params as params

test_width_not_given if not stakes_clear.pass with input as {"stake_distance": 711200} with data.params as params

test_distance_as_text if not stakes_clear.pass with input as stake("3 ft", 101600) with data.params as params

test_width_as_text if not stakes_clear.pass with input as stake(711200, "4 in") with data.params as params

test_no_limit if not stakes_clear.pass with input as stake(711200, 101600) with data.params as {}
