-- ARGV: stream, now, token. Ends a lease whose holder is gone: its items may have
-- been tried.
local held = redis.call('HMGET', line, 'token', 'ids')
if held[1] ~= ARGV[3] then return 0 end
lift() -- first, see commit
for id in string.gmatch(held[2], '%S+') do
  if redis.call('HEXISTS', items, id) == 1 then redis.call('HINCRBY', line, 'tries:' .. id, 1) end
end
redis.call('HDEL', line, 'token', 'until', 'ids')
place()
return 1
