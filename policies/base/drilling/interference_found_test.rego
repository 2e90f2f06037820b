package tests.base.drilling.interference_found

import data.checks.base.drilling.interference_found

test_pass if interference_found.pass with input as {"interference_source": "traffic loop at the stop line"}

test_blank if not interference_found.pass with input as {"interference_source": "  "}

test_empty if not interference_found.pass with input as {"interference_source": ""}

test_not_answered if not interference_found.pass with input as {}

test_yes_is_no_text if not interference_found.pass with input as {"interference_source": true}

test_no_interference if interference_found.exempt with input as {"drilling": {"interference": 0}}

test_interference if not interference_found.exempt with input as {"drilling": {"interference": 1}}

test_count_not_known if not interference_found.exempt with input as {"drilling": {}}

test_count_as_text if not interference_found.exempt with input as {"drilling": {"interference": "0"}}
