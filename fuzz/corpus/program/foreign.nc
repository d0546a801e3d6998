; made elsewhere
G0 X 1 2 . 5 ; goG2 X1 Y1 I0.5
(a (b) c)
G0 X[[[[[[1]]]]]] ####1=2
O100 SUB
L999999 G91 G81 Z-1 R0 X0
