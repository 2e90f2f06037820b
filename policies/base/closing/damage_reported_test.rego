package tests.base.closing.damage_reported

import data.checks.base.closing.damage_reported

test_pass if damage_reported.pass with input as {"damage_told": true}

test_stop if not damage_reported.pass with input as {"damage_told": false}

test_not_answered if not damage_reported.pass with input as {}

test_text_is_no_answer if not damage_reported.pass with input as {"damage_told": "yes"}

test_nothing_damaged if damage_reported.exempt with input as {"line_damaged": false}

test_line_damaged if not damage_reported.exempt with input as {"line_damaged": true}

test_damage_not_answered if not damage_reported.exempt with input as {}

test_damage_as_text if not damage_reported.exempt with input as {"line_damaged": "no"}
