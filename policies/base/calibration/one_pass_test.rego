package tests.base.calibration.one_pass

import data.checks.base.calibration.one_pass

test_pass if one_pass.pass with input as {"calibrated_in_one_pass": true}

test_stop if not one_pass.pass with input as {"calibrated_in_one_pass": false}

test_not_answered if not one_pass.pass with input as {}

test_text_is_no_answer if not one_pass.pass with input as {"calibrated_in_one_pass": "yes"}

test_does_not_apply if one_pass.exempt with input as {"receiver_linked": false}

test_applies if not one_pass.exempt with input as {"receiver_linked": true}

test_link_not_known if not one_pass.exempt with input as {}

test_link_as_text if not one_pass.exempt with input as {"receiver_linked": "no"}
