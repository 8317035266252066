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
  in_force.entry_no, in_force.row_no,
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

-- name: schedule_rows_for_construction
-- One row is one standing schedule row issued for construction, whatever its day.
select
  schedule.{column}, -- for each schedule column
  schedule.entry_no, schedule.row_no
from schedule($as_of) as schedule
where schedule.status = 'for construction'
order by counting_order(schedule.position_id), schedule.position_id, schedule.issued_on,
         counting_order(schedule.revision), schedule.revision;

-- name: piles
-- One row is one standing pile.
select
  pile.{column}, -- for each pile column
  pile.entry_no, pile.row_no
from pile($as_of) as pile
order by counting_order(pile.pile_id), pile.pile_id;

-- name: runs
-- One row is one standing run, those of a pile in the order of the work: by day, by start, then by
-- number. `run_order` grows in that order.
select
  run.{column}, -- for each run column
  run.entry_no, run.row_no,
  row_number() over (
      order by counting_order(run.pile_id), run.pile_id, run.run_on nulls last,
               run.started_at nulls last, counting_order(run.run_no), run.run_no
  ) as run_order
from run($as_of) as run
order by run_order;

-- name: stage_records
-- One row is one stage that one pile has reached.
select
  stage_record.{column}, -- for each stage_record column
  stage_record.entry_no, stage_record.row_no
from stage_record($as_of) as stage_record
order by counting_order(stage_record.pile_id), stage_record.pile_id,
         stage_record.stage_on nulls last, stage_record.stage;

-- name: sign_offs
-- One row is one standing acceptance of one pile in one role.
select
  sign_off.{column}, -- for each sign_off column
  sign_off.entry_no, sign_off.row_no
from sign_off($as_of) as sign_off
order by counting_order(sign_off.subject), sign_off.subject, sign_off.role;

-- name: history_of_pile
-- One row is one row ever written about the pile up to $as_of, and whether it stands, was
-- superseded, removed its key, or was withdrawn with its entry.
with written as (
    select 'schedule' as kind, schedule.revision as part, schedule.entry_no, schedule.row_no,
           schedule.sheet, schedule.source_no, schedule.removed, to_json(schedule) as whole
    from schedule
    where schedule.position_id = $pile_id or schedule.position_id in (
        select pile.position_id from pile($as_of) as pile where pile.pile_id = $pile_id
    )
    union all by name
    select 'pile' as kind, '' as part, pile.entry_no, pile.row_no, pile.sheet, pile.source_no,
           pile.removed, to_json(pile) as whole
    from pile
    where pile.pile_id = $pile_id
    union all by name
    select 'run' as kind, run.run_no as part, run.entry_no, run.row_no, run.sheet, run.source_no,
           run.removed, to_json(run) as whole
    from run
    where run.pile_id = $pile_id
    union all by name
    select 'torque_reading' as kind,
           torque_reading.run_no || ', ' || torque_reading.depth_mm || ' mm' as part,
           torque_reading.entry_no, torque_reading.row_no, torque_reading.sheet,
           torque_reading.source_no, torque_reading.removed, to_json(torque_reading) as whole
    from torque_reading
    where torque_reading.pile_id = $pile_id
    union all by name
    select 'stage_record' as kind, stage_record.stage as part, stage_record.entry_no,
           stage_record.row_no, stage_record.sheet, stage_record.source_no, stage_record.removed,
           to_json(stage_record) as whole
    from stage_record
    where stage_record.pile_id = $pile_id
    union all by name
    select 'sign_off' as kind, sign_off.role as part, sign_off.entry_no, sign_off.row_no,
           sign_off.sheet, sign_off.source_no, sign_off.removed, to_json(sign_off) as whole
    from sign_off
    where sign_off.subject = $pile_id
),
last_word as (
    select 'schedule' as kind, word.entry_no, word.row_no, word.source_no
    from schedule_last_word($as_of) as word
    union all by name
    select 'pile' as kind, word.entry_no, word.row_no, word.source_no
    from pile_last_word($as_of) as word where word.pile_id = $pile_id
    union all by name
    select 'run' as kind, word.entry_no, word.row_no, word.source_no
    from run_last_word($as_of) as word where word.pile_id = $pile_id
    union all by name
    select 'torque_reading' as kind, word.entry_no, word.row_no, word.source_no
    from torque_reading_last_word($as_of) as word where word.pile_id = $pile_id
    union all by name
    select 'stage_record' as kind, word.entry_no, word.row_no, word.source_no
    from stage_record_last_word($as_of) as word where word.pile_id = $pile_id
    union all by name
    select 'sign_off' as kind, word.entry_no, word.row_no, word.source_no
    from sign_off_last_word($as_of) as word where word.subject = $pile_id
)
select written.kind, written.part, written.entry_no, written.row_no, written.sheet,
       entry.entered_at, entry.person, entry.act, coalesce(entry.source, 'form') as source,
       case
           when written.entry_no not in (from live_entry($as_of)) then 'withdrawn'
           when written.removed then 'removed'
           when exists (
               from last_word
               where last_word.kind = written.kind and last_word.entry_no = written.entry_no
                 and last_word.row_no = written.row_no
                 and last_word.source_no = written.source_no
           ) then 'stands'
           else 'superseded'
       end as standing,
       written.whole::varchar as whole
from written
join entry on entry.entry_no = written.entry_no
where written.entry_no <= $as_of
order by written.entry_no, written.kind, counting_order(written.part), written.row_no;

-- name: row_counts
-- One row is one record kind with the number of its standing records.
select 'schedule' as kind, count(*) as rows from schedule($as_of)
union all by name
select 'pile' as kind, count(*) as rows from pile($as_of)
union all by name
select 'instrument' as kind, count(*) as rows from instrument($as_of)
union all by name
select 'calibration' as kind, count(*) as rows from calibration($as_of)
union all by name
select 'calibration_point' as kind, count(*) as rows from calibration_point($as_of)
union all by name
select 'run' as kind, count(*) as rows from run($as_of)
union all by name
select 'torque_reading' as kind, count(*) as rows from torque_reading($as_of)
union all by name
select 'stage_record' as kind, count(*) as rows from stage_record($as_of)
union all by name
select 'sign_off' as kind, count(*) as rows from sign_off($as_of)
order by kind;
