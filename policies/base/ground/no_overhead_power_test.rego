package tests.base.ground.no_overhead_power

import data.checks.base.ground.no_overhead_power

test_pass_none if no_overhead_power.pass with input as {"power_overhead": false}

test_stop_there_is if not no_overhead_power.pass with input as {"power_overhead": true}

test_not_answered if not no_overhead_power.pass with input as {}

test_text_is_no_answer if not no_overhead_power.pass with input as {"power_overhead": "no"}
