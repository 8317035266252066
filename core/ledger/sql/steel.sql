-- Questions about steel: components delivered and placed, their pieces, heats and certificates.

-- name: quarantine_story
-- One row is one active decision on the quarantine of a heat, released ones with it, newest first.
select
  quarantine.{column}, -- for each quarantine column
  quarantine.entry_no
from quarantine
where quarantine.entry_no in (from active_entry($as_of)) and not quarantine.removed
order by quarantine.entry_no desc, quarantine.row_no;
