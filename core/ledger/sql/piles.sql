-- Questions about positions, piles, runs and what people say about a pile.

-- name: schedule_in_force_then
-- One row is one asked position that was current at an entry, as the schedule in force at the asked
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
last_version as (
    select known_then.*
    from known_then
    qualify row_number() over (
        partition by known_then.place, known_then.revision
        order by known_then.entry_no desc, known_then.row_no desc
    ) = 1
),
in_force as (
    select last_version.*
    from last_version
    where not last_version.removed and last_version.status = 'for construction'
      and last_version.issued_on <= last_version.on_day
    qualify row_number() over (
        partition by last_version.place
        order by last_version.issued_on desc, counting_order(last_version.revision) desc,
                 last_version.revision desc
    ) = 1
)
select
  in_force.place,
  in_force.{column}, -- for each schedule column
  in_force.entry_no, in_force.row_no
from in_force
where in_force.row_status is distinct from 'deleted'
order by in_force.place;
