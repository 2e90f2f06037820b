package tests.base.crew.remote_stop

import data.checks.base.crew.remote_stop

test_pass_stopped if remote_stop.pass with input as {"remote_stop_tested": true}

test_stop_rig_went_on if not remote_stop.pass with input as {"remote_stop_tested": false}

test_not_answered if not remote_stop.pass with input as {}

test_text_is_no_answer if not remote_stop.pass with input as {"remote_stop_tested": "yes"}
