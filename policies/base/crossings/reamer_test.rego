package tests.base.crossings.reamer

import data.checks.base.crossings.reamer

test_pass if reamer.pass with input as {"reamer_size": 254000}

test_pass_any_size if reamer.pass with input as {"reamer_size": 1}

test_stop_no_size if not reamer.pass with input as {"reamer_size": 0}

test_stop_less_than_no_size if not reamer.pass with input as {"reamer_size": -1}

test_not_answered if not reamer.pass with input as {}

test_as_text if not reamer.pass with input as {"reamer_size": "10 in"}

test_nothing_crossed if reamer.exempt with input as {"crossings": []}

test_one_line_crossed if not reamer.exempt with input as {"crossings": ["gas main"]}

test_list_not_known if not reamer.exempt with input as {}

test_text_is_no_list if not reamer.exempt with input as {"crossings": ""}
