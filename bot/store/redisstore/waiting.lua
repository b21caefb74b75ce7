-- Gives the queue's items as claim does, without claiming them.
local out = {}
local all = redis.call('ZRANGE', queue, 0, -1, 'WITHSCORES')
for i = 1, #all, 2 do
  local id = string.sub(all[i], 17)
  local tries = redis.call('HGET', line, 'tries:' .. id) or '0'
  for _, v in ipairs({id, all[i + 1], tries, string.sub(redis.call('HGET', items, id), 17)}) do out[#out + 1] = v end
end
return out
