package tests.base.gear.frequencies

import data.checks.base.gear.frequencies

test_pass_two if frequencies.pass with input as {"frequencies": [9500, 22000]}

test_pass_one if frequencies.pass with input as {"frequencies": [9500]}

test_stop_none if not frequencies.pass with input as {"frequencies": []}

test_not_answered if not frequencies.pass with input as {}

test_text_is_no_list if not frequencies.pass with input as {"frequencies": "9.5 kHz"}
