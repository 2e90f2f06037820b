package tests.base.calibration.centre_to_centre

import data.checks.base.calibration.centre_to_centre

test_pass_centres if centre_to_centre.pass with input as {"measured_between": "centres"}

test_stop_ends if not centre_to_centre.pass with input as {"measured_between": "ends"}

test_stop_elsewhere if not centre_to_centre.pass with input as {"measured_between": "elsewhere"}

test_not_answered if not centre_to_centre.pass with input as {}

test_yes_is_no_answer if not centre_to_centre.pass with input as {"measured_between": true}
