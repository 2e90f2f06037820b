package tests.base.ground.planned_depth

import data.checks.base.ground.planned_depth

test_pass if planned_depth.pass with input as {"planned_depth": 4267200}

test_pass_just_under_the_surface if planned_depth.pass with input as {"planned_depth": 1}

test_stop_at_the_surface if not planned_depth.pass with input as {"planned_depth": 0}

test_stop_above_the_surface if not planned_depth.pass with input as {"planned_depth": -1}

test_not_answered if not planned_depth.pass with input as {}

test_as_text if not planned_depth.pass with input as {"planned_depth": "14 ft"}
