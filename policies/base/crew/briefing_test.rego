package tests.base.crew.briefing

import data.checks.base.crew.briefing

test_pass_held if briefing.pass with input as {"briefing_held": true}

test_stop_not_held if not briefing.pass with input as {"briefing_held": false}

test_not_answered if not briefing.pass with input as {}

test_text_is_no_answer if not briefing.pass with input as {"briefing_held": "yes"}
