package tests.va.crossings.parallel_exposed

import data.checks.va.crossings.parallel_exposed

test_exempt_no_line if parallel_exposed.exempt with input as {"parallel_lines": false}

test_not_exempt_with_a_line if not parallel_exposed.exempt with input as {"parallel_lines": true}

test_not_exempt_unknown if not parallel_exposed.exempt with input as {}

test_pass_seen if parallel_exposed.pass with input as {"parallel_lines": true, "parallel_seen": true}

test_stop_not_seen if not parallel_exposed.pass with input as {"parallel_lines": true, "parallel_seen": false}

test_not_answered if not parallel_exposed.pass with input as {"parallel_lines": true}

test_text_is_no_answer if not parallel_exposed.pass with input as {"parallel_lines": true, "parallel_seen": "yes"}
