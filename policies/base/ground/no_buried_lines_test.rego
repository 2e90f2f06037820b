package tests.base.ground.no_buried_lines

import data.checks.base.ground.no_buried_lines

test_pass_none if no_buried_lines.pass with input as {"buried_lines": false}

test_stop_there_is if not no_buried_lines.pass with input as {"buried_lines": true}

test_not_answered if not no_buried_lines.pass with input as {}

test_text_is_no_answer if not no_buried_lines.pass with input as {"buried_lines": "no"}
