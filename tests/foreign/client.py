"""A client that knows nothing of this project but its address: it learns the contract by reflection,
asks for a diagnosis, answers the check it is told to make, and reads the error of a bad request."""

import sys

import grpc
from google.protobuf.descriptor_pool import DescriptorPool
from google.protobuf.json_format import MessageToDict
from google.protobuf.message_factory import GetMessageClass
from google.rpc import error_details_pb2
from grpc_health.v1 import health_pb2, health_pb2_grpc
from grpc_reflection.v1alpha.proto_reflection_descriptor_database import ProtoReflectionDescriptorDatabase
from grpc_status import rpc_status


def main(address):
    channel = grpc.insecure_channel(address)
    health = health_pb2_grpc.HealthStub(channel).Check(health_pb2.HealthCheckRequest(), timeout=10)
    assert health.status == health_pb2.HealthCheckResponse.SERVING, health

    database = ProtoReflectionDescriptorDatabase(channel)
    services = database.get_services()
    assert "sward.v1.DiagnosisService" in services, services
    pool = DescriptorPool(database)
    diagnose = method(channel, pool, "sward.v1.DiagnosisService", "Diagnose")

    request, call = diagnose
    complaint = "thin uncut line down the fairway, same place every pass, unit 3 only, others fine"
    reply = call(request(complaint=complaint), timeout=10)
    first = MessageToDict(reply)
    print(first["message"])
    assert first["outcome"] == "OUTCOME_DIAGNOSED", first
    assert any(cause["cause"] == "edge_damage" for cause in first["causes"][:3]), first["causes"]

    found = request(complaint=complaint)
    for finding in ("edges_nicked", "nick_lines_up_with_line"):
        found.observations.add(finding=finding, present=True)
    second = MessageToDict(call(found, timeout=10))
    assert second["causes"][0]["cause"] == "edge_damage", second["causes"]
    assert second["causes"][0]["cautions"], "a repair near an edge carries cautions"

    try:
        call(request(complaint="x" * 4001), timeout=10)
        raise AssertionError("4,001 characters were accepted")
    except grpc.RpcError as error:
        assert error.code() == grpc.StatusCode.INVALID_ARGUMENT, error
        status = rpc_status.from_call(error)
        bad = error_details_pb2.BadRequest()
        assert any(detail.Unpack(bad) for detail in status.details), status
        assert bad.field_violations[0].field == "complaint", bad

    called = 2
    for service in sorted(name for name in services if name.startswith("sward.v1.")):
        for descriptor in pool.FindServiceByName(service).methods:
            try:
                call_empty(channel, service, descriptor)
            except grpc.RpcError as error:
                known = (grpc.StatusCode.INVALID_ARGUMENT, grpc.StatusCode.NOT_FOUND,
                         grpc.StatusCode.FAILED_PRECONDITION)
                assert error.code() in known, f"{service}/{descriptor.name}: {error}"
                assert rpc_status.from_call(error).details, f"{descriptor.name}: no details: {error}"
            called += 1
    try:
        request, call = diagnose
        call(request(complaint=complaint), timeout=10, metadata=(("authorization", "Bearer guess"),))
        raise AssertionError("a token that is none was accepted")
    except grpc.RpcError as error:
        assert error.code() == grpc.StatusCode.UNAUTHENTICATED, error
    print(f"{called} calls by a foreign client through reflection: ok")


def call_empty(channel, service, descriptor):
    """Calls an rpc of any shape with an empty request, or with none where they are a stream."""
    request = GetMessageClass(descriptor.input_type)
    shapes = {
        (False, False): channel.unary_unary,
        (False, True): channel.unary_stream,
        (True, False): channel.stream_unary,
        (True, True): channel.stream_stream,
    }
    call = shapes[descriptor.client_streaming, descriptor.server_streaming](
        f"/{service}/{descriptor.name}",
        request_serializer=request.SerializeToString,
        response_deserializer=GetMessageClass(descriptor.output_type).FromString,
    )
    reply = call(iter(()) if descriptor.client_streaming else request(), timeout=20)
    if descriptor.server_streaming:
        for _ in reply:
            pass


def method(channel, pool, service, name):
    descriptor = pool.FindServiceByName(service).FindMethodByName(name)
    request = GetMessageClass(descriptor.input_type)
    reply = GetMessageClass(descriptor.output_type)
    call = channel.unary_unary(
        f"/{service}/{name}",
        request_serializer=request.SerializeToString,
        response_deserializer=reply.FromString,
    )
    return request, call


if __name__ == "__main__":
    main(sys.argv[1])
