-- Questions about positions, piles, runs and what people say about a pile.

-- name: schedule_in_force
-- One row is one live position as the schedule in force on $on has it: the position's latest issue
-- for construction, unless that deletes it. `in_latest` says whether the newest revision of its
-- structure still names it.
with issued as (
    select schedule.*, counting_order(schedule.revision) as revision_order
    from schedule($as_of) as schedule
    where schedule.status = 'for construction' and schedule.issued_on <= $on
),
newest_revision as (
    select issued.structure, issued.revision
    from issued
    qualify row_number() over (
        partition by issued.structure
        order by issued.issued_on desc, issued.revision_order desc, issued.revision desc
    ) = 1
),
in_force as (
    select issued.*
    from issued
    qualify row_number() over (
        partition by issued.position_id
        order by issued.issued_on desc, issued.revision_order desc, issued.revision desc
    ) = 1
)
select
  in_force.{column}, -- for each schedule column
  in_force.entry_no, in_force.row_no, in_force.sheet,
  exists (
      from issued
      join newest_revision
        on newest_revision.structure is not distinct from issued.structure
        and newest_revision.revision = issued.revision
      where issued.position_id = in_force.position_id
  ) as in_latest
from in_force
where in_force.row_status is distinct from 'deleted'
order by counting_order(in_force.position_id), in_force.position_id;

-- name: schedule_in_force_then
-- One row is one asked position that was live at an entry, as the schedule in force at the asked
-- entry and day had it.
with known_then as (
    select asked.place, asked.on_day, written.*
    from asked
    join schedule as written
      on written.position_id = asked.position_id and written.entry_no <= asked.as_of
    where not exists (
        select 1
        from entry as withdrawal
        where withdrawal.withdraws = written.entry_no and withdrawal.entry_no <= asked.as_of
    )
),
last_word as (
    select known_then.*
    from known_then
    qualify row_number() over (
        partition by known_then.place, known_then.revision
        order by known_then.entry_no desc, known_then.row_no desc
    ) = 1
),
in_force as (
    select last_word.*
    from last_word
    where not last_word.removed and last_word.status = 'for construction'
      and last_word.issued_on <= last_word.on_day
    qualify row_number() over (
        partition by last_word.place
        order by last_word.issued_on desc, counting_order(last_word.revision) desc,
                 last_word.revision desc
    ) = 1
)
select
  in_force.place,
  in_force.{column}, -- for each schedule column
  in_force.entry_no, in_force.row_no
from in_force
where in_force.row_status is distinct from 'deleted'
order by in_force.place;

-- name: schedule_rows_for_construction
-- One row is one standing schedule row issued for construction, whatever its day.
select
  schedule.{column}, -- for each schedule column
  schedule.entry_no, schedule.row_no
from schedule($as_of) as schedule
where schedule.status = 'for construction'
order by counting_order(schedule.position_id), schedule.position_id, schedule.issued_on,
         counting_order(schedule.revision), schedule.revision;

-- name: schedule_issues
-- One row is one position in one standing revision of the schedule, whatever its status and day.
select
  schedule.{column}, -- for each schedule column
  schedule.entry_no, schedule.row_no, schedule.sheet
from schedule($as_of) as schedule
order by schedule.issued_on, counting_order(schedule.revision), schedule.revision,
         counting_order(schedule.position_id), schedule.position_id;

-- name: piles
-- One row is one standing pile.
select
  pile.{column}, -- for each pile column
  pile.entry_no, pile.row_no, pile.sheet
from pile($as_of) as pile
order by counting_order(pile.pile_id), pile.pile_id;

-- name: schedule_in_force_at_runs
-- One row is one pile's last run beside the schedule row for construction that was in force for its
-- position on that day; the schedule's columns are empty when none was.
with last_run as (
    select run.pile_id, coalesce(pile.position_id, run.pile_id) as served, run.run_on,
           run.schedule_revision
    from ordered_run($as_of) as run
    left join pile($as_of) as pile on pile.pile_id = run.pile_id
    qualify row_number() over (partition by run.pile_id order by run.run_order desc) = 1
),
in_force as (
    select last_run.pile_id, schedule.*
    from last_run
    join schedule($as_of) as schedule
      on schedule.position_id = last_run.served
      and schedule.status = 'for construction'
      and schedule.issued_on <= last_run.run_on
    qualify row_number() over (
        partition by last_run.pile_id
        order by schedule.issued_on desc, counting_order(schedule.revision) desc,
                 schedule.revision desc
    ) = 1
)
select
  last_run.pile_id, last_run.run_on, last_run.schedule_revision,
  in_force.{column}, -- for each schedule column
  in_force.entry_no, in_force.row_no
from last_run
left join in_force
  on in_force.pile_id = last_run.pile_id and in_force.row_status is distinct from 'deleted'
order by counting_order(last_run.pile_id), last_run.pile_id;

-- name: runs
-- One row is one standing run, those of a pile in the order of the work.
select
  run.{column}, -- for each run column
  run.entry_no, run.row_no, run.sheet, run.run_order
from ordered_run($as_of) as run
order by run.run_order;

-- name: stage_records
-- One row is one stage that one pile has reached.
select
  stage_record.{column}, -- for each stage_record column
  stage_record.entry_no, stage_record.row_no, stage_record.sheet
from stage_record($as_of) as stage_record
order by counting_order(stage_record.pile_id), stage_record.pile_id,
         stage_record.stage_on nulls last, stage_record.stage;

-- name: sign_offs
-- One row is one standing acceptance of one pile in one role.
select
  sign_off.{column}, -- for each sign_off column
  sign_off.entry_no, sign_off.row_no, sign_off.sheet
from sign_off($as_of) as sign_off
order by counting_order(sign_off.subject), sign_off.subject, sign_off.role;

-- name: pile_numbers
-- One row is one number of a pile or position on record, with the kind and column that hold it.
with named as (
    select '{kind}' as record, '{column}' as named_by, written.{column} as number from {kind}($as_of) as written union -- for each pile number
    select null, null, null where false
)
select named.record, named.named_by, named.number
from named
where named.number is not null
order by named.record, named.named_by, counting_order(named.number), named.number;

-- name: rows_without_parent
-- One row is one standing row whose parent is on no record, with the number that it names and its
-- file; a row of a form has the file 'form'.
with referring as (
    select '{kind}' as record, '{own}' as refers_by, child.{own} as number, child.entry_no, child.sheet, child.row_no from {kind}($as_of) as child union all -- for each referring column
    select null, null, null, null, null, null where false
),
known as (
    select '{kind}' as record, '{own}' as refers_by, parent.{column} as number from {parent}($as_of) as parent union -- for each parent of it
    select null, null, null where false
)
select referring.record, referring.refers_by, referring.number,
       coalesce(entry.source, 'form') as file, referring.entry_no, referring.sheet,
       referring.row_no
from referring
join entry on entry.entry_no = referring.entry_no
anti join known
  on known.record = referring.record and known.refers_by = referring.refers_by
  and known.number = referring.number
where referring.number is not null
order by referring.record, referring.refers_by, counting_order(referring.number),
         referring.number, referring.entry_no, referring.sheet, referring.row_no;
