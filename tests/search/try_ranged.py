import sys, time
from tests.search.test_against_oracle import _agree
from tests.search.sites import recipe, made_up
from dataclasses import replace
from optimiser.ranking import rank
from tests.oracle.enumeration import enumerate_setups
n0,n1=int(sys.argv[1]),int(sys.argv[2])
t0=time.time(); some=0
for n in range(n0,n1):
    r=replace(recipe(n), ranged=True)
    s=made_up(r,n)
    plain=rank(made_up(replace(r,ranged=False),n),explain=False)
    t=time.time(); got=rank(s,explain=False); tr=time.time()-t
    t=time.time(); want=enumerate_setups(s); to=time.time()-t
    try:
        _agree(got,want)
        some+=len(got)
    except AssertionError as e:
        print("DIFF",n,str(e)[:300], flush=True)
    if time.time()-t0>float(sys.argv[3]): print("stopped at",n); break
print("setups",some,time.time()-t0)
