package tests.base.crossings.none_confirmed

import data.checks.base.crossings.none_confirmed

test_pass_none if none_confirmed.pass with input as {"crossings": [], "none_confirmed": true}

test_stop_none_but_nobody_looked if not none_confirmed.pass with input as {"crossings": [], "none_confirmed": false}

test_not_confirmed if not none_confirmed.pass with input as {"crossings": []}

test_none_said_against_a_list if not none_confirmed.pass with input as {"crossings": ["gas main"], "none_confirmed": true}

test_text_is_no_empty_list if not none_confirmed.pass with input as {"crossings": "", "none_confirmed": true}

test_list_not_given if not none_confirmed.pass with input as {"none_confirmed": true}

test_text_is_no_answer if not none_confirmed.pass with input as {"crossings": [], "none_confirmed": "yes"}

test_one_line if none_confirmed.exempt with input as {"crossings": ["gas main"]}

test_two_lines if none_confirmed.exempt with input as {"crossings": ["gas main", "water"]}

test_no_line if not none_confirmed.exempt with input as {"crossings": []}

test_list_not_known if not none_confirmed.exempt with input as {}

test_text_is_no_list if not none_confirmed.exempt with input as {"crossings": "gas main"}
