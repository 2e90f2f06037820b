package tests.base.calibration.each_frequency

import data.checks.base.calibration.each_frequency

test_pass if each_frequency.pass with input as {"frequency": {"calibrated": true}}

test_stop if not each_frequency.pass with input as {"frequency": {"calibrated": false}}

test_not_answered if not each_frequency.pass with input as {}

test_text_is_no_answer if not each_frequency.pass with input as {"frequency": {"calibrated": "yes"}}

test_does_not_apply if each_frequency.exempt with input as {"receiver_linked": true}

test_applies if not each_frequency.exempt with input as {"receiver_linked": false}

test_link_not_known if not each_frequency.exempt with input as {}

test_link_as_text if not each_frequency.exempt with input as {"receiver_linked": "yes"}
