package tests.base.verification.view

import data.checks.base.verification.view

test_pass_calibration_view if view.pass with input as {"reading_view": "calibration"}

test_stop_walking_view if not view.pass with input as {"reading_view": "walking"}

test_stop_other_view if not view.pass with input as {"reading_view": "other"}

test_not_answered if not view.pass with input as {}

test_yes_is_no_answer if not view.pass with input as {"reading_view": true}
