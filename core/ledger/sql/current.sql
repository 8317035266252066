-- The rule of active entries and current rows, once. Every connection makes these macros; each asks for the entry as of which
-- it answers. {kind} and the columns of marked lines are filled from the record kinds.

-- name: active_entry
-- One row is one entry that counts as of an entry: not later, and not withdrawn by then.
create or replace temp macro active_entry(as_of) as table
select entry.entry_no
from entry
where entry.entry_no <= as_of
  and entry.entry_no not in (
    select withdrawal.withdraws
    from entry as withdrawal
    where withdrawal.withdraws is not null and withdrawal.entry_no <= as_of
  );

-- name: active_entries
-- One row is one entry that counts as of $as_of.
select active.entry_no from active_entry($as_of) as active order by active.entry_no;

-- name: active_rows
-- One row is one row of one kind that one of $entries wrote, whatever was written of its key later.
select
  written.{column}, -- for each column
  written.entry_no, written.row_no, written.sheet, written.removed
from {kind} as written
where written.entry_no in (select unnest($entries));

-- name: last_version
-- One row is the last active version of one key, whatever its source; it may remove the key.
create or replace temp macro {kind}_last_version(as_of) as table
select *
from {kind}
where {kind}.entry_no in (from active_entry(as_of))
qualify row_number() over (
    partition by
      {kind}.{column}, -- for each key
      true
    order by {kind}.entry_no desc, {kind}.row_no desc
) = 1;

-- name: current_frame
-- One row is one current record: the last active version of its key, unless that removes it.
create or replace temp macro {kind}(as_of) as table
select * from {kind}_last_version(as_of) where not removed;

-- name: counting_order
-- Text that sorts as people count: every number in it padded to nine digits.
create or replace temp macro counting_order(words) as
regexp_replace(
    regexp_replace(words, '(\d+)', '000000000\1', 'g'), '\d*(\d{9})(\D|$)', '\1\2', 'g'
);

-- name: current_rows
-- One row is one current record with the entry and row that say so.
select
  current_row.{column}, -- for each column
  current_row.entry_no,
  current_row.row_no
from {kind}($as_of) as current_row
order by
  current_row.{column}, -- for each key
  current_row.entry_no;
