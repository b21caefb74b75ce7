-- ARGV: stream, now, expect or '*', lease, retry id, retry until, release,
-- events, removals, items, squeeze, token to take, until, replacements, hash of the last event,
-- then these:
-- events as records, ids, for each item its id, due, attempts and value, and for each
-- replacement the version and the event. Gives 'ok', the version, '1'
-- where something can be claimed, and the ids taken.
local expect, lease = ARGV[3], ARGV[4]
local retry, hold, release = ARGV[5], ARGV[6], ARGV[7] ~= ''
local events, removals, adds = tonumber(ARGV[8]), tonumber(ARGV[9]), tonumber(ARGV[10])
local squeeze, take = ARGV[11] ~= '', ARGV[12]
local replacements = tonumber(ARGV[14])
local event, removal, add = 16, 16 + events, 16 + events + removals
local replace = add + 4 * adds
local version = redis.call('LLEN', log)

-- the batch may be here already, from a commit whose answer was lost
if events > 0 and version >= events then
  local from, to
  if expect ~= '*' then
    from, to = tonumber(expect), tonumber(expect)
  else
    from, to = math.max(0, version - {{lookback}}), version - events
  end
  if from + events <= version then
    local old = redis.call('LRANGE', log, from, to + events - 1)
    for at = 0, to - from do
      local same = true
      for i = 1, events do
        if old[at + i] ~= ARGV[event + i - 1] then same = false break end
      end
      if same then
        local answer = {'ok', string.format('%.0f', from + at + events), ''}
        local held = redis.call('HMGET', line, 'token', 'ids')
        if take ~= '' and held[1] == take then
          for id in string.gmatch(held[2], '%S+') do answer[#answer + 1] = id end
        end
        return answer
      end
    end
  end
end
if expect ~= '*' and tonumber(expect) ~= version then
  return {'conflict', string.format('%.0f', version)}
end
if ARGV[15] ~= '' then
  local last = redis.call('LINDEX', log, -1)
  if not last or redis.sha1hex(string.sub(last, 2 + string.byte(last))) ~= ARGV[15] then
    return {'rewound', string.format('%.0f', version)}
  end
end
local taken = {}
for i = removal, removal + removals - 1 do taken[ARGV[i]] = 'free' end
for i = add, add + 4 * adds - 1, 4 do
  local id = ARGV[i]
  if taken[id] == 'added' or (not taken[id] and redis.call('HEXISTS', items, id) == 1) then
    return {'duplicate', id}
  end
  taken[id] = 'added'
end

-- From here on there are writes. A server that is out of memory refuses a script's
-- first write if it may need memory, and none after it: a batch with events ends
-- here without a trace, and one that only takes away starts with a removal and
-- goes through, as one does that is to be squeezed in.
local waited = adds > 0 and redis.call('EXISTS', queue) == 1
if squeeze then lift() end
if events > 0 then
  redis.call('RPUSH', log, unpack(ARGV, event, event + events - 1))
  if version == 0 then redis.call('ZADD', names, 0, name) end
  version = version + events
else
  lift()
end
for i = replace, replace + 2 * replacements - 1, 2 do
  local at = tonumber(ARGV[i]) - 1
  local old = redis.call('LINDEX', log, at)
  redis.call('LSET', log, at, string.sub(old, 1, 1 + string.byte(old, 1)) .. ARGV[i + 1])
end
local empty = false -- nothing waits any more, and nobody holds it
if removals > 0 then
  local found = redis.call('HMGET', items, unpack(ARGV, removal, removal + removals - 1))
  local places, ids, marks = {}, {}, {}
  for i = 1, removals do
    if found[i] then
      local id = ARGV[removal + i - 1]
      places[#places + 1] = string.sub(found[i], 1, 16) .. id
      ids[#ids + 1] = id
      marks[#marks + 1] = 'tries:' .. id
      marks[#marks + 1] = 'hold:' .. id
    end
  end
  if #ids > 0 then
    redis.call('ZREM', queue, unpack(places))
    redis.call('HDEL', items, unpack(ids))
    redis.call('HDEL', line, unpack(marks))
  end
end
if lease ~= '' then
  local held = redis.call('HMGET', line, 'token', 'ids')
  if held[1] == lease then
    local over = release or retry ~= ''
    if retry ~= '' and redis.call('HEXISTS', items, retry) == 1 then
      redis.call('HINCRBY', line, 'tries:' .. retry, 1)
      redis.call('HSET', line, 'hold:' .. retry, hold)
    end
    if not over then
      over = true
      for id in string.gmatch(held[2], '%S+') do
        -- those that are done are known to be gone
        if taken[id] ~= 'free' and redis.call('HEXISTS', items, id) == 1 then over = false break end
      end
    end
    if over and adds == 0 and redis.call('EXISTS', queue) == 0 then
      empty = true
    elseif over then
      redis.call('HDEL', line, 'token', 'until', 'ids')
      redis.call('HSET', line, 'since', ARGV[2])
    end
  end
end
for i = add, add + 4 * adds - 1, 4 do
  local id = ARGV[i]
  local seq = string.format('%016.0f', redis.call('HINCRBY', line, 'seq', 1))
  redis.call('ZADD', queue, ARGV[i + 1], seq .. id)
  redis.call('HSET', items, id, seq .. ARGV[i + 3])
  if ARGV[i + 2] ~= '0' then redis.call('HSET', line, 'tries:' .. id, ARGV[i + 2]) end
end
if adds > 0 and not waited then redis.call('HSET', line, 'since', ARGV[2]) end
local answer = {'ok', string.format('%.0f', version), ''}
if take ~= '' and adds > 0 and not redis.call('HGET', line, 'token') then
  local head = redis.call('ZRANGE', queue, 0, math.min(adds, {{run}}) - 1, 'WITHSCORES')
  local run = {}
  for i = 1, #head, 2 do
    local id = string.sub(head[i], 17)
    if taken[id] ~= 'added' or tonumber(head[i + 1]) > now then break end
    run[#run + 1] = id
    answer[#answer + 1] = id
  end
  if #run > 0 then redis.call('HSET', line, 'token', take, 'until', ARGV[13], 'ids', table.concat(run, ' ')) end
end
if empty then
  lift()
  redis.call('ZREM', ready, name)
  redis.call('ZREM', due, name)
  redis.call('DEL', line)
elseif (adds > 0 or removals > 0 or lease ~= '' or squeeze) and place() then
  answer[3] = '1'
end
return answer
