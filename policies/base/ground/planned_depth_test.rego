package tests.base.ground.planned_depth

import data.checks.base.ground.planned_depth

plan(depth, length) := {"planned_depth": depth, "planned_length": length}

test_pass if planned_depth.pass with input as plan(4267200, 73152000)

test_pass_just_under_the_surface if planned_depth.pass with input as plan(1, 1)

test_stop_at_the_surface if not planned_depth.pass with input as plan(0, 73152000)

test_stop_above_the_surface if not planned_depth.pass with input as plan(-1, 73152000)

test_stop_without_length if not planned_depth.pass with input as plan(4267200, 0)

test_depth_not_answered if not planned_depth.pass with input as {"planned_length": 73152000}

test_length_not_answered if not planned_depth.pass with input as {"planned_depth": 4267200}

test_depth_as_text if not planned_depth.pass with input as plan("14 ft", 73152000)

test_length_as_text if not planned_depth.pass with input as plan(4267200, "240 ft")
