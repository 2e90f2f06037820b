package tests.base.gear.housing_fitted

import data.checks.base.gear.housing_fitted

test_pass_in if housing_fitted.pass with input as {"in_housing": true}

test_stop_out if not housing_fitted.pass with input as {"in_housing": false}

test_not_answered if not housing_fitted.pass with input as {}

test_text_is_no_answer if not housing_fitted.pass with input as {"in_housing": "yes"}
