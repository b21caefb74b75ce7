-- ARGV: stream, now, token, until, most. Gives for each item its id, due,
-- attempts and value.
local token, most = ARGV[3], tonumber(ARGV[5])

local function give(ids)
  local out = {}
  for _, id in ipairs(ids) do
    local item = redis.call('HGET', items, id)
    if item then
      local tries = redis.call('HGET', line, 'tries:' .. id) or '0'
      local score = redis.call('ZSCORE', queue, string.sub(item, 1, 16) .. id)
      for _, v in ipairs({id, score, tries, string.sub(item, 17)}) do out[#out + 1] = v end
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
  for i = 1, #head, 2 do
    local id = string.sub(head[i], 17)
    if tonumber(head[i + 1]) > now or waits(redis.call('HGET', line, 'hold:' .. id) or '0') then break end
    run[#run + 1] = id
  end
end
-- a removal first, so that a server out of memory lets the queue be emptied
redis.call('ZREM', busy, name)
if #run > 0 then
  for id in string.gmatch(held[3] or '', '%S+') do
    if redis.call('HEXISTS', items, id) == 1 then redis.call('HINCRBY', line, 'tries:' .. id, 1) end
  end
  redis.call('HSET', line, 'token', token, 'until', ARGV[4], 'ids', table.concat(run, ' '))
end
place()
return give(run)
