package tests.base.verification.noise_again

import data.checks.base.verification.noise_again

params := {"ground": {"noise_margin_mdb": 17400}, "verification": {"far_mark_um": 4572000}}

again(mdb) := {"frequency": {"derived": {"noise_again_margin_mdb": mdb}}}

test_exempt_at_the_far_mark if noise_again.exempt with input as {"planned_depth": 4572000} with data.params as params

test_not_exempt_deeper if not noise_again.exempt with input as {"planned_depth": 4572001} with data.params as params

test_not_exempt_without_a_depth if not noise_again.exempt with input as {} with data.params as params

test_not_exempt_on_nothing if not noise_again.exempt with input as {"planned_depth": null} with data.params as params

test_not_exempt_without_a_mark if not noise_again.exempt with input as {"planned_depth": 1} with data.params as {}

test_pass_over if noise_again.pass with input as again(20000) with data.params as params

test_pass_at_the_limit if noise_again.pass with input as again(17400) with data.params as params

test_stop_under if not noise_again.pass with input as again(17399) with data.params as params

test_not_known if not noise_again.pass with input as {} with data.params as params

test_as_text if not noise_again.pass with input as again("20 dB") with data.params as params

test_no_limit if not noise_again.pass with input as again(20000) with data.params as {}
