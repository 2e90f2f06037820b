package tests.va_alder.ticket.county_permit

import data.checks.va_alder.ticket.county_permit

# 20416 is 2025-11-24 in days since 1970-01-01 (derived: date arithmetic).
permit(last) := {"permit_last_day": last, "clock": {"today": 20416}}

test_pass_on_the_last_day if county_permit.pass with input as permit(20416)

test_pass_before if county_permit.pass with input as permit(20417)

test_stop_the_day_after if not county_permit.pass with input as permit(20415)

test_not_answered if not county_permit.pass with input as {"clock": {"today": 20416}}

test_no_clock if not county_permit.pass with input as {"permit_last_day": 20416}

test_as_text if not county_permit.pass with input as permit("2025-11-30")

test_null if not county_permit.pass with input as permit(null)
