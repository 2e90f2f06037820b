package tests.base.gear.pitch_zero

import data.checks.base.gear.pitch_zero

params := {"gear": {"pitch_bias_ppm": 2000}}

bias(ppm) := {"derived": {"pitch_bias_ppm": ppm}}

test_pass_true if pitch_zero.pass with input as bias(0) with data.params as params

test_pass_at_the_limit if pitch_zero.pass with input as bias(2000) with data.params as params

test_stop_over if not pitch_zero.pass with input as bias(2001) with data.params as params

test_pass_at_the_limit_nose_down if pitch_zero.pass with input as bias(-2000) with data.params as params

test_stop_over_nose_down if not pitch_zero.pass with input as bias(-2001) with data.params as params

test_not_known if not pitch_zero.pass with input as {"derived": {}} with data.params as params

test_as_text if not pitch_zero.pass with input as bias("0.1 %") with data.params as params

test_no_limit if not pitch_zero.pass with input as bias(0) with data.params as {}
