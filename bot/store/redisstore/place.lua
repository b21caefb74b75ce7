-- Begins every script that changes a stream.
local log, queue, items, line, ready, due, busy, names = unpack(KEYS)
local name = ARGV[1]
local now = tonumber(ARGV[2])
local horizon = now + {{horizon}} -- the latest end that a lease or hold can rightly have

-- waits says whether a lease or hold that ends at t is still on.
local function waits(t)
  t = tonumber(t)
  return t > now and t <= horizon
end

-- lift takes the stream out of the index of those that are busy.
local lifted = false
local function lift()
  if not lifted then redis.call('ZREM', busy, name) end
  lifted = true
end

-- place puts the stream into the index where its state belongs as seen now, and says
-- whether something can be claimed. The clock may be another one when its turn comes,
-- so a claim looks again.
local function place()
  lift()
  redis.call('ZREM', ready, name)
  redis.call('ZREM', due, name)
  local head = redis.call('ZRANGE', queue, 0, 0, 'WITHSCORES')
  local state = redis.call('HMGET', line, 'until', 'since', head[1] and 'hold:' .. string.sub(head[1], 17) or 'none')
  if not head[1] then
    if not state[1] then redis.call('DEL', line) end
  elseif state[1] and waits(state[1]) then
    redis.call('ZADD', busy, state[1], name)
  elseif state[3] and waits(state[3]) then
    redis.call('ZADD', busy, state[3], name)
  elseif tonumber(head[2]) > now then
    redis.call('ZADD', due, head[2], name)
  else
    local since = state[2] or '0'
    if tonumber(head[2]) > tonumber(since) then since = head[2] end
    redis.call('ZADD', ready, since, name)
    return true
  end
  return false
end
