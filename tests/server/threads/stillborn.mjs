// A thread that dies before it is there.
throw new Error('never there')
