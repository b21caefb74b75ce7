-- ARGV: stream, now, token, until, most. Gives for each item its id, due,
-- attempts and value.
local token, most = ARGV[3], tonumber(ARGV[5])
local scores = {} -- of items, where they are at hand

local function give(ids)
  local out = {}
  if #ids == 0 then return out end
  local marks = {}
  for i, id in ipairs(ids) do marks[i] = 'tries:' .. id end
  local found, tries = redis.call('HMGET', items, unpack(ids)), redis.call('HMGET', line, unpack(marks))
  for i, id in ipairs(ids) do
    if found[i] then
      local score = scores[id] or redis.call('ZSCORE', queue, string.sub(found[i], 1, 16) .. id)
      for _, v in ipairs({id, score, tries[i] or '0', string.sub(found[i], 17)}) do out[#out + 1] = v end
    end
  end
  return out
end

local held = redis.call('HMGET', line, 'token', 'until', 'ids')
if held[1] == token then -- the answer was lost and the call repeated
  local ids = {}
  for id in string.gmatch(held[3], '%S+') do ids[#ids + 1] = id end
  return give(ids)
end
local run = {}
if not held[1] or not waits(held[2]) then
  local head = redis.call('ZRANGE', queue, 0, most - 1, 'WITHSCORES')
  local ids, marks = {}, {}
  for i = 1, #head, 2 do
    if tonumber(head[i + 1]) > now then break end
    local id = string.sub(head[i], 17)
    ids[#ids + 1] = id
    marks[#marks + 1] = 'hold:' .. id
  end
  if #ids > 0 then
    local holds = redis.call('HMGET', line, unpack(marks))
    for i, id in ipairs(ids) do
      if waits(holds[i] or '0') then break end
      run[i] = id
      scores[id] = head[2 * i]
    end
  end
end
-- a removal first, so that a server out of memory lets the queue be emptied
lift()
if #run > 0 then
  for id in string.gmatch(held[3] or '', '%S+') do
    if redis.call('HEXISTS', items, id) == 1 then redis.call('HINCRBY', line, 'tries:' .. id, 1) end
  end
  redis.call('HSET', line, 'token', token, 'until', ARGV[4], 'ids', table.concat(run, ' '))
  redis.call('ZREM', ready, name)
  redis.call('ZREM', due, name)
  redis.call('ZADD', busy, ARGV[4], name)
else
  place()
end
return give(run)
