-- ARGV: stream, now, token, until.
if redis.call('HGET', line, 'token') ~= ARGV[3] then return 0 end
lift() -- first, see commit
redis.call('HSET', line, 'until', ARGV[4])
place()
return 1
